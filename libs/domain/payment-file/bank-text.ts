/**
 * Texts as banks take them. Whoever calls has brought other scripts and accents into Latin letters already; what is left
 * here is to keep what a standard allows and to cut to the length of its field.
 */

/**
 * The Latin characters that every bank of the Single Euro Payments Area takes (EPC217-08, chapter 1): letters, digits,
 * blank and / - ? : ( ) . , ' +
 */
const euroForbidden = /[^A-Za-z0-9/\-?:().,'+ ]/g;

/** Blank to tilde of ASCII, in capitals: the characters of the records of the automated clearing house. */
const clearingForbidden = /[^ -~]/g;

/** An ampersand becomes a plus. `maximumLength`: characters of the field. Empty when nothing is left that may be written. */
export function euroText(text: string, maximumLength: number): string {
  return cut(text.replaceAll('&', '+').replace(euroForbidden, ' '), maximumLength);
}

/** A reference: it neither begins nor ends with a slash and holds no two in a row (EPC132-08, chapter 1.6). */
export function euroReference(text: string, maximumLength: number): string {
  return cut(euroText(text, text.length).replace(/\/{2,}/g, '/').replace(/^[/ ]+/, ''), maximumLength).replace(/[/ ]+$/, '');
}

export function clearingText(text: string, maximumLength: number): string {
  return cut(text.replace(clearingForbidden, ' ').toUpperCase(), maximumLength);
}

/** Blanks in a row count as one, and none stands at an end: banks compare names by their characters. */
function cut(text: string, maximumLength: number): string {
  return text.replace(/ +/g, ' ').trim().slice(0, maximumLength).trimEnd();
}
