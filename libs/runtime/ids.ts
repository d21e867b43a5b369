import { uuidv7 } from 'uuidv7';

/** UUID version 7 (RFC 9562): sorts by time of creation, and later ids of one process after earlier ones. */
export const newId: () => string = uuidv7;
