/** Above a form that a colleague was quicker with: theirs and one's own, field by field. */
export const changedMeanwhile = {
  title: 'A colleague changed this meanwhile',
  what: 'Choose for each what is to hold. The form below shows what will be saved; nothing that you typed is lost. Then save again.',
  same: 'It says by now what you typed. Save again, or close the form.',
  theirs: 'Theirs:',
  mine: 'Yours:',
  empty: '(empty)',
  yesNo: (yes: boolean) => (yes ? 'yes' : 'no'),
};
