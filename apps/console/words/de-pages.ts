import { germanExplanations } from '#domain/settlement/explanations-german';
import { germanTerms } from '#domain/terms/catalogue-german';
import { people, secret, tokens } from './de/access';
import { link, ownAccount } from './de/own-account';
import { agreements } from './de/agreements';
import { audit } from './de/audit';
import { auditFiles } from './de/audit-files';
import { besideCounts } from './de/beside-counts';
import { cash } from './de/cash';
import { changedMeanwhile } from './de/changed-meanwhile';
import { chart } from './de/chart';
import { collectionKeys } from './de/collection-keys';
import { collections } from './de/collections';
import { paper as paperVisit, room as countingRoom } from './de/counting-room';
import { custody } from './de/custody';
import { earnings } from './de/earnings';
import { entered } from './de/entered';
import { erasure } from './de/erasure';
import { evidence } from './de/evidence';
import { fieldErrors } from './de/field-errors';
import { imports } from './de/imports';
import { journal } from './de/journal';
import { keyCases } from './de/key-cases';
import { keyInventories } from './de/key-inventories';
import { keyPolicy } from './de/key-policy';
import { keyReceipt } from './de/key-receipt';
import { keySetUp } from './de/key-set-up';
import { keys } from './de/keys';
import { machineReports } from './de/machine-reports';
import { machines } from './de/machines';
import { moneyOut } from './de/money-out';
import { notRead } from './de/not-read';
import { advanceChanges, booking, openItems, payments, taxPayments } from './de/payments';
import { phone } from './de/phone';
import { readyAreaNotes } from './de/ready-areas';
import { refundClaims } from './de/refund-claims';
import { retention } from './de/retention';
import { rounds } from './de/rounds';
import { search } from './de/search';
import { setUp } from './de/set-up';
import { settlement } from './de/settlement';
import { certificates } from './de/certificates';
import { siteAccount } from './de/site-account';
import { advances, share, sites } from './de/sites';
import { tax } from './de/tax';
import { terms } from './de/terms';
import { untold } from './de/untold';
import { variances } from './de/variances';
import { webhooks } from './de/webhooks';
import { whatIf } from './de/what-if';
import type { PageWords } from './shape';

export const dePages: PageWords = {
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
  explanations: germanExplanations,
  termsCatalogue: germanTerms,
};
