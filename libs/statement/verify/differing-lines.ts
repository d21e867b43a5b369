/** Which lines of a page come out otherwise when they are computed again, as the page itself calls them. */
import type { StatementDocument } from '#statement/document';
import { contentOf, type Row } from '#statement/page/content';
import { languageOf } from '#statement/words/languages';

/** The first few, which is enough to see what was touched. */
const NAMED_AT_MOST = 5;

/** Each by its words and its line, `Share of The Quay, line 14`; empty where the page shows the same. */
export function differingLines({ attached, computed }: { readonly attached: StatementDocument; readonly computed: StatementDocument }): string[] {
  const { words } = languageOf(attached.locale);
  const [ours, theirs] = [rowsOf(computed), rowsOf(attached)];
  const printed = [...theirs].flatMap(([place, row]) => (amountsOf(ours.get(place)) === amountsOf(row) ? [] : [`${row.cells[0] ?? ''}, ${words.lines(row.line, row.line)}`]));
  const left = [...ours].flatMap(([place, row]) => (theirs.has(place) ? [] : [row.cells[0] ?? '']));
  return [...printed, ...left].slice(0, NAMED_AT_MOST);
}

/** By section and label, counted where a label comes again, so that a line which was left out does not shift all others. */
function rowsOf(document: StatementDocument): Map<string, Row> {
  const rows = new Map<string, Row>();
  contentOf(document).sections.forEach(({ title, rows: listed }, section) => {
    for (const row of listed) {
      const name = `${section}/${title}/${row.cells[0] ?? ''}`;
      let occurrence = 1;
      while (rows.has(`${name}/${occurrence}`)) occurrence += 1;
      rows.set(`${name}/${occurrence}`, row);
    }
  });
  return rows;
}

/** What stands to the right of the words; the words of the basis name lines, which may only have moved. */
function amountsOf(row: Row | undefined): string | undefined {
  return row?.cells.slice(2).join('|');
}
