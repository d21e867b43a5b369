type FileAnswer = { data: Blob | File; response: Response };

/** A file under the name that the api gives it. */
export const fileOf = ({ data: blob, response }: FileAnswer, otherwise: string) => ({
  blob,
  fileName: /filename="([^"]+)"/.exec(response.headers.get('content-disposition') ?? '')?.[1] ?? otherwise,
});
