/** The one row of a statement that always gives one, such as INSERT ... RETURNING. */
export function onlyRow<Row>(rows: readonly Row[]): Row {
  const [row] = rows;
  if (row === undefined || rows.length > 1) throw new Error(`a statement gave ${rows.length} rows instead of one`);
  return row;
}
