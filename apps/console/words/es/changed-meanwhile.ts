export const changedMeanwhile = {
  title: 'Otra persona lo ha cambiado entretanto',
  what: 'Elija en cada campo lo que debe valer. El formulario de abajo muestra lo que se guardará; no se pierde nada de lo que ha escrito. Después, guarde de nuevo.',
  same: 'Ya dice lo que usted ha escrito. Guarde de nuevo o cierre el formulario.',
  theirs: 'Ahora dice:',
  mine: 'Lo suyo:',
  empty: '(vacío)',
  yesNo: (yes: boolean) => (yes ? 'sí' : 'no'),
};
