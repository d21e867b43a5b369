/** Hands a file that was fetched to the browser's own download. */
export function saveFile(blob: Blob, fileName: string): void {
  const address = URL.createObjectURL(blob);
  startDownload(address, fileName);
  // The download has taken the bytes over by the time the next minute is up.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** Starts the browser's own download of an address, under the name that the server gives where none is said. */
export function startDownload(address: string, fileName = ''): void {
  const link = document.createElement('a');
  link.href = address;
  link.download = fileName;
  link.click();
}
