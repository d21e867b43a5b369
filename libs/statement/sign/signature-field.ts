/** The empty signature that a statement is rendered with: an invisible field on the current page, to be filled later. */
import { UNKNOWN_BYTE_RANGE } from '#statement/sign/byte-range';
import { internalsOf, type Pdf } from '#statement/sign/pdfkit-internals';

/** Bytes kept for a PAdES B-B signature with one certificate: about 1,000 are used, an RSA chain of the operator's may take 3,500. */
export const USUAL_SIGNATURE_ROOM_BYTES = 4096;

/** The same with a time stamp on the signature: a token with an authority's chain of RSA certificates may take 6,500. */
export const STAMPED_SIGNATURE_ROOM_BYTES = USUAL_SIGNATURE_ROOM_BYTES + 8192;

// ISO 32000-1 table 165: shown in print (4), not to be moved or changed by the reader (128).
const PRINT_AND_LOCKED = 132;
// ISO 32000-1 table 219: signatures exist (1), and the file must only be appended to (2).
const SIGNED_AND_APPEND_ONLY = 3;

/**
 * Adds the field. A font must be set and a page open. `signedAt` is the claimed time of signing: PAdES baseline keeps it
 * here (ETSI EN 319 142-1 section 6.3) and forbids the signing-time attribute in the signature itself.
 */
export function addSignatureField(pdf: Pdf, field: { signedAt: Date; roomBytes: number }): void {
  const internals = internalsOf(pdf);
  const signature = internals.ref({
    Type: 'Sig',
    Filter: 'Adobe.PPKLite',
    SubFilter: 'ETSI.CAdES.detached',
    ByteRange: [...UNKNOWN_BYTE_RANGE],
    Contents: new Uint8Array(field.roomBytes),
    M: field.signedAt,
  });
  signature.end();

  // PDF/A wants an appearance for every annotation but one of no size; readers vary, so it has both.
  const appearance = internals.ref({ Type: 'XObject', Subtype: 'Form', BBox: [0, 0, 0, 0], Resources: {}, Length: 0 });
  appearance.end(new Uint8Array(0));
  const widget = internals.ref({
    Type: 'Annot',
    Subtype: 'Widget',
    FT: 'Sig',
    T: new String('Signature'),
    F: PRINT_AND_LOCKED,
    Rect: [0, 0, 0, 0],
    P: internals.page.dictionary,
    AP: { N: appearance },
    V: signature,
  });
  internals.page.annotations.push(widget);
  widget.end();

  // pdfkit ends a form only if it was begun by initForm, which also asks readers to draw the fields anew: that would be
  // a change to a signed page, and PDF/A forbids it.
  pdf.initForm();
  const form = internals._root.data['AcroForm'];
  if (!isReference(form)) throw new Error('pdfkit did not begin a form');
  delete form.data['NeedAppearances'];
  Object.assign(form.data, { Fields: [widget], SigFlags: SIGNED_AND_APPEND_ONLY });
}

function isReference(value: unknown): value is { readonly data: Record<string, unknown> } {
  return typeof value === 'object' && value !== null && 'data' in value && typeof value.data === 'object' && value.data !== null;
}
