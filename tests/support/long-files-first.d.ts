type Test = { readonly path: string };

/** Begins a run with the files that take longest. */
declare class LongFilesFirst {
  static readonly longFiles: Readonly<Record<string, number>>;
  constructor(options: object);
  sort<File extends Test>(tests: readonly File[]): File[];
}
export = LongFilesFirst;
