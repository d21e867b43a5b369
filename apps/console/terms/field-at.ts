/** The field for a place that the api names, `#/changes/split/shares/0/percent`, or what it stands in; the first step names the terms themselves. */
export function fieldAt(id: string, pointer: string): string | null {
  const steps = pointer.split('/').slice(2);
  for (let length = steps.length; length > 0; length -= 1) {
    const fieldId = [id, ...steps.slice(0, length)].join('-');
    if (document.getElementById(fieldId) !== null) return fieldId;
  }
  return null;
}
