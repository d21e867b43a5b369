export type Repeated = {
  /** Begins them anew, unless they are still at it: what waits in line behind itself only grows longer. */
  readonly go: () => void;
  /** Resolves when none is at work. */
  readonly ended: () => Promise<void>;
};

/** Works that are done again and again, one after the other; the trouble of one is told and keeps nobody behind it from work. */
export function repeated(works: readonly (() => Promise<void>)[], onTrouble: (error: unknown) => void): Repeated {
  let going: Promise<void> | undefined;
  const allOnce = async (): Promise<void> => {
    for (const work of works) await work().catch(onTrouble);
    going = undefined;
  };
  return { go: () => void (going ??= allOnce()), ended: async () => going };
}
