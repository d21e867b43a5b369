/** By folder: how many files of tests/batches take its test files in a whole run. */
export declare const batchCounts: Readonly<Record<string, number>>;
/** The test files of each batch of that folder. */
export declare function batchesOf(folder: string): string[][];
/** Every test file that a whole run takes by way of a batch. */
export declare function filesInBatches(): string[];
