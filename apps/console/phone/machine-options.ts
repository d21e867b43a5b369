import type { Option } from '../parts/select-field';
import { words } from '../words/words';
import type { VisitPlace } from './draft';

/** The machines of the visit to choose from, and the one that was chosen where it is not among them: a select would show another in its place. */
export function machinesToChoose({ machines }: Pick<VisitPlace, 'machines'>, chosenTag: string): readonly Option[] {
  const options = machines.map(({ tag, game }) => ({ value: tag, text: words.phone.visit.machine(tag, game) }));
  return chosenTag === '' || options.some(({ value }) => value === chosenTag) ? options : [{ value: chosenTag, text: chosenTag }, ...options];
}
