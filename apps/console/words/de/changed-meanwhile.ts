export const changedMeanwhile = {
  title: 'Das wurde inzwischen von jemand anderem geändert',
  what: 'Wählen Sie für jedes Feld, was gelten soll. Das Formular darunter zeigt, was gespeichert wird; nichts von dem, was Sie eingegeben haben, geht verloren. Speichern Sie danach noch einmal.',
  same: 'Es steht inzwischen da, was Sie eingegeben haben. Speichern Sie noch einmal, oder schließen Sie das Formular.',
  theirs: 'Dort steht jetzt:',
  mine: 'Ihre Eingabe:',
  empty: '(leer)',
  yesNo: (yes: boolean) => (yes ? 'ja' : 'nein'),
};
