import { spanishExplanations } from '#domain/settlement/explanations-spanish';
import { spanishTerms } from '#domain/terms/catalogue-spanish';
import { people, secret, tokens } from './es/access';
import { link, ownAccount } from './es/own-account';
import { agreements } from './es/agreements';
import { audit } from './es/audit';
import { auditFiles } from './es/audit-files';
import { besideCounts } from './es/beside-counts';
import { cash } from './es/cash';
import { changedMeanwhile } from './es/changed-meanwhile';
import { chart } from './es/chart';
import { collectionKeys } from './es/collection-keys';
import { collections } from './es/collections';
import { paper as paperVisit, room as countingRoom } from './es/counting-room';
import { custody } from './es/custody';
import { earnings } from './es/earnings';
import { entered } from './es/entered';
import { erasure } from './es/erasure';
import { evidence } from './es/evidence';
import { fieldErrors } from './es/field-errors';
import { imports } from './es/imports';
import { journal } from './es/journal';
import { keyCases } from './es/key-cases';
import { keyInventories } from './es/key-inventories';
import { keyPolicy } from './es/key-policy';
import { keyReceipt } from './es/key-receipt';
import { keySetUp } from './es/key-set-up';
import { keys } from './es/keys';
import { machineReports } from './es/machine-reports';
import { machines } from './es/machines';
import { moneyOut } from './es/money-out';
import { notRead } from './es/not-read';
import { advanceChanges, booking, openItems, payments, taxPayments } from './es/payments';
import { phone } from './es/phone';
import { readyAreaNotes } from './es/ready-areas';
import { refundClaims } from './es/refund-claims';
import { retention } from './es/retention';
import { rounds } from './es/rounds';
import { search } from './es/search';
import { setUp } from './es/set-up';
import { settlement } from './es/settlement';
import { certificates } from './es/certificates';
import { siteAccount } from './es/site-account';
import { advances, share, sites } from './es/sites';
import { tax } from './es/tax';
import { terms } from './es/terms';
import { untold } from './es/untold';
import { variances } from './es/variances';
import { webhooks } from './es/webhooks';
import { whatIf } from './es/what-if';
import type { PageWords } from './shape';

export const esPages: PageWords = {
  advanceChanges,
  advances,
  agreements,
  audit,
  auditFiles,
  booking,
  besideCounts,
  cash,
  certificates,
  changedMeanwhile,
  chart,
  collectionKeys,
  collections,
  countingRoom,
  custody,
  earnings,
  entered,
  erasure,
  evidence,
  fieldErrors,
  imports,
  journal,
  keyCases,
  keyInventories,
  keyPolicy,
  keyReceipt,
  keys,
  keySetUp,
  link,
  machineReports,
  machines,
  moneyOut,
  notRead,
  openItems,
  ownAccount,
  paperVisit,
  payments,
  people,
  phone,
  readyAreaNotes,
  refundClaims,
  retention,
  rounds,
  secret,
  settlement,
  search,
  setUp,
  share,
  siteAccount,
  sites,
  tax,
  taxPayments,
  terms,
  tokens,
  untold,
  variances,
  webhooks,
  whatIf,
  explanations: spanishExplanations,
  termsCatalogue: spanishTerms,
};
