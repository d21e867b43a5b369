import type { Samples } from '#tests/support/samples';

export const samples: Samples = {
  // No file: a refusal of the file is an answer to somebody who may bring one.
  'POST /v1/signing-certificates': { prepare: () => ({ body: { pkcs12: Buffer.from('no file').toString('base64'), password: '' } }) },
};
