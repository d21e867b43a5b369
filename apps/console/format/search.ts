/** Whether every word of the search occurs somewhere in the texts; capitals and accents do not matter. */
export function matches(search: string, texts: readonly string[]): boolean {
  const text = plain(texts.join(' '));
  return plain(search)
    .split(/\s+/)
    .every((each) => text.includes(each));
}

function plain(text: string): string {
  return text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().trim();
}
