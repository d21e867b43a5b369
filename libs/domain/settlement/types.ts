/** The two documents of a settlement, what goes in and what comes out, under one name. */
export type * from '#domain/settlement/inputs';
export type * from '#domain/settlement/result';
export * from '#domain/settlement/carries';
