/** What the first screens say of it as well. */
export const signature = {
  title: 'Signature of your statements',
  check: 'Check a statement yourself',
  attention: {
    'ends-soon': (day: string) => `The certificate under which statements are signed is valid to ${day}. From then on statements wait.`,
    expired: (day: string) => `The certificate in use ended on ${day}: statements wait.`,
    revoked: () => 'The certificate in use is revoked: statements wait.',
    none: 'An owner puts another one to use.',
    next: (day: string) => `Another one signs from ${day} on.`,
  },
};
