/** Where a request of nobody in particular comes from: shown to people in their list of sessions, and in logs. */
export type Visitor = {
  readonly address: string;
  readonly userAgent: string;
  readonly requestId: string;
};

/** How a transaction that stands under no tenant signs itself. */
export function signInScope(visitor: Pick<Visitor, 'requestId'>) {
  return { kind: 'system', id: 'sign-in', requestId: visitor.requestId } as const;
}
