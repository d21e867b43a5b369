/** The texts of the verifier in one language: what it found, and the page around that. */
import type { StatementStanding } from '#contracts/statement-standing';
import type { SignatureProblem } from '#statement/sign/check-signature';
import type { PdfPart } from '#statement/verify/pdf-objects';
import type { CheckName, Why } from '#statement/verify/verify-statement';

/** Reasons that one sentence tells, whatever the file. */
type PlainReason = Exclude<Why['code'], 'no-signature' | 'engine-unknown' | 'page-unknown' | 'figures-differ' | 'page-differs'>;

/** By whom, as its certificate says; when, as people write it; and whether that certificate leads to one that is relied on. */
type Stamped = { readonly by: string; readonly at: string; readonly trusted: boolean };

export interface VerifierWords {
  /** As a language tag. */
  readonly language: string;
  readonly checks: { readonly [check in CheckName]: { readonly title: string; readonly holds: check extends 'time-stamp' ? (stamped: Stamped) => string : string } };
  readonly firstStatement: string;
  readonly why: { readonly [reason in PlainReason]: string };
  readonly noSignature: { readonly [problem in SignatureProblem]: string };
  readonly engineUnknown: (version: number) => string;
  readonly pageUnknown: (version: number) => string;
  /** Those with which the next statement begins, which the page does not show. */
  readonly hiddenFiguresDiffer: string;
  readonly figuresDiffer: (lines: string) => string;
  readonly notAsWritten: (byte: number) => string;
  readonly objectsAddedOrMissing: string;
  readonly objectDiffers: (about: { readonly part: PdfPart; readonly id: number }) => string;
  readonly heads: {
    readonly extends: (numbers: { readonly older: string; readonly newer: string }) => string;
    readonly doesNotExtend: (numbers: { readonly older: string; readonly newer: string }) => string;
    readonly sameNumber: (number: string) => string;
    readonly statementBetween: (numbers: { readonly older: string; readonly newer: string; readonly between: string }) => string;
    readonly nothingToCompare: (numbers: { readonly older: string; readonly newer: string }) => string;
    readonly otherLog: (numbers: { readonly older: string; readonly newer: string }) => string;
  };
  readonly standing: { readonly [standing in StatementStanding['standing']]: (day: string) => string };
  readonly certificate: { readonly [certificate in Exclude<StatementStanding['certificate'], 'not-asked'>]: (from: string) => string };
  readonly summary: { readonly statement: string; readonly from: string; readonly payee: string; readonly site: string; readonly period: string };
  /** The page of the operator's server on which that is asked. */
  readonly standingPage: { readonly title: string; readonly lead: string; readonly noQuestion: string; readonly caution: string };
  readonly page: PageWords;
}

interface PageWords {
  readonly title: string;
  readonly lead: string;
  readonly choose: string;
  readonly drop: string;
  readonly checking: (name: string) => string;
  readonly tooLarge: string;
  readonly unreadable: string;
  readonly noPdf: string;
  readonly outcome: { readonly holds: string; readonly holdsIf: string; readonly fails: string; readonly open: string; readonly otherSigner: string };
  readonly mark: { readonly true: string; readonly false: string; readonly unknown: string };
  readonly signer: {
    readonly title: string;
    readonly calls: (name: string) => string;
    readonly fingerprint: string;
    readonly given: string;
    readonly help: string;
    readonly same: string;
    readonly other: string;
    readonly none: string;
    readonly unfit: string;
    readonly pinned: string;
    readonly noneOfKept: string;
    readonly keep: string;
  };
  readonly kept: { readonly title: string; readonly forget: (place: number) => string };
  readonly standing: { readonly title: string; readonly onlyOperator: string; readonly ask: string; readonly openThere: string; readonly askThem: string };
  readonly together: string;
  readonly limits: { readonly title: string; readonly counted: string; readonly tax: string };
}
