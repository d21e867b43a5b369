/** One field of a record as the trail of changes keeps it, as it reads and as it will read. */
export interface ChangedField {
  readonly name: string;
  readonly said: string;
  readonly remaining: string;
}

/**
 * The fields in which two images of a record differ, of images that the trail of changes keeps as JSON; `null` where the
 * texts are no such images. The rest of a record says nothing of whom is to be erased.
 */
export function changedFields(texts: { readonly said: string; readonly remaining: string }): readonly ChangedField[] | null {
  const [said, remaining] = [imageOf(texts.said), imageOf(texts.remaining)];
  if (said === null || remaining === null) return null;
  const names = [...new Set([...Object.keys(said), ...Object.keys(remaining)])];
  return names.flatMap((name) => {
    const [before, after] = [textOf(said[name]), textOf(remaining[name])];
    return before === after ? [] : [{ name, said: before, remaining: after }];
  });
}

function imageOf(text: string): Readonly<Record<string, unknown>> | null {
  try {
    const image: unknown = JSON.parse(text);
    return typeof image === 'object' && image !== null && !Array.isArray(image) ? { ...image } : null;
  } catch {
    return null;
  }
}

function textOf(value: unknown): string {
  return value === undefined || value === null ? '' : typeof value === 'string' ? value : JSON.stringify(value);
}
