import { englishExplanations } from '#domain/settlement/explanations-english';
import { englishTerms } from '#domain/terms/catalogue-english';
import { people, secret, tokens } from './en/access';
import { link, ownAccount } from './en/own-account';
import { agreements } from './en/agreements';
import { audit } from './en/audit';
import { auditFiles } from './en/audit-files';
import { besideCounts } from './en/beside-counts';
import { cash } from './en/cash';
import { changedMeanwhile } from './en/changed-meanwhile';
import { chart } from './en/chart';
import { collectionKeys } from './en/collection-keys';
import { collections } from './en/collections';
import { paper as paperVisit, room as countingRoom } from './en/counting-room';
import { custody } from './en/custody';
import { earnings } from './en/earnings';
import { entered } from './en/entered';
import { erasure } from './en/erasure';
import { evidence } from './en/evidence';
import { fieldErrors } from './en/field-errors';
import { imports } from './en/imports';
import { journal } from './en/journal';
import { keyCases } from './en/key-cases';
import { keyInventories } from './en/key-inventories';
import { keyPolicy } from './en/key-policy';
import { keyReceipt } from './en/key-receipt';
import { keySetUp } from './en/key-set-up';
import { keys } from './en/keys';
import { machineReports } from './en/machine-reports';
import { machines } from './en/machines';
import { moneyOut } from './en/money-out';
import { notRead } from './en/not-read';
import { advanceChanges, booking, openItems, payments, taxPayments } from './en/payments';
import { phone } from './en/phone';
import { readyAreaNotes } from './en/ready-areas';
import { refundClaims } from './en/refund-claims';
import { retention } from './en/retention';
import { rounds } from './en/rounds';
import { search } from './en/search';
import { setUp } from './en/set-up';
import { settlement } from './en/settlement';
import { certificates } from './en/certificates';
import { siteAccount } from './en/site-account';
import { advances, share, sites } from './en/sites';
import { tax } from './en/tax';
import { terms } from './en/terms';
import { untold } from './en/untold';
import { variances } from './en/variances';
import { webhooks } from './en/webhooks';
import { whatIf } from './en/what-if';

/** What the screens say that come when somebody goes there, in English; fetched once the first screen stands. */
export const enPages = {
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
  /** What figures of a settlement are called, and how they came about. */
  explanations: englishExplanations,
  /** The sentences in which terms are read back. */
  termsCatalogue: englishTerms,
};
