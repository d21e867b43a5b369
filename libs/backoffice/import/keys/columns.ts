import type { Column } from '../columns';

export type KeyColumnName = 'code' | 'class' | 'outside_copies' | 'copy' | 'store' | 'with' | 'found' | 'machine' | 'lock' | 'opens' | 'fitted_on';

/**
 * The columns of a file of keys: each line is about a copy or about a lock, and names the code of either. The same table is
 * printed beside the upload and in the documentation.
 */
export const keyColumns: readonly Column<KeyColumnName>[] = [
  { name: 'code', required: true, holds: 'Code of the cut. One that is not known yet is recorded.', example: 'CASH-7' },
  { name: 'class', required: true, holds: 'access or cash-box: the same on all lines of a code.', example: 'cash-box' },
  { name: 'outside_copies', required: false, holds: 'yes when others may have copies of this cut that nobody can count.', example: 'no' },
  { name: 'copy', required: false, holds: 'Number of the copy, on a line about a copy.', example: 'K-0101' },
  { name: 'store', required: false, holds: 'Code of the store that the copy belongs to; needed for a copy.', example: 'SAFE' },
  { name: 'with', required: false, holds: 'Code of the person, or of the place at a site, who has the copy. Empty when it is in the store.', example: 'ORLA' },
  { name: 'found', required: false, holds: 'yes for a cash-box key that a site has though nobody should have given it: it enters as found there, to be put right within a day.', example: 'no' },
  { name: 'machine', required: false, holds: 'Tag of the machine, on a line about a lock.', example: 'M-0042' },
  { name: 'lock', required: false, holds: 'Name of the place on the machine; needed for a lock.', example: 'cash-door' },
  { name: 'opens', required: false, holds: 'play-area, cash-box or everything; needed for a lock.', example: 'cash-box' },
  { name: 'fitted_on', required: false, holds: 'Day on which the lock was fitted. Today when left out.', example: '2026-03-02' },
];
