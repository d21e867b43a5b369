import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { Installation, Machine, Placement } from '../api/shapes';
import { dayOf, formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { Answer } from '../parts/answer';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { useSiteNames } from '../sites/site-names';
import { words } from '../words/words';
import { CorrectInstallation, InstallGame, TakeOutGame } from './game-forms';
import { CorrectPlacement, PlaceMachine, TakeToShop } from './place-forms';
import { installationsOfQuery, locksOfMachineQuery, outagesOfQuery, placementsOfQuery } from './queries';

const text = words.machines;

interface OfMachine {
  readonly machine: Machine;
}

const day = (date: string): string => formatDay(date, locale);

/** Where it stood, the latest first, and the ways to another place. */
export function PlaceSection({ machine }: OfMachine) {
  const { api, may, to } = useOperator();
  const siteNamed = useSiteNames();
  const [wish, setWish] = useState<'place' | 'take' | Placement | null>(null);
  const question = useQuery(placementsOfQuery(api, machine.id));
  const say = text.places;
  const { placement } = machine;
  const mayPlace = may(placement === null ? 'placement.create' : 'placement.move') && machine.disposedOn === null;
  return (
    <div className="stack">
      <Answer question={question} lines={3}>
        {(placements) => (
          <TitledTable
            id="places" title={say.title} none={say.none} columns={[say.site, say.from, say.until, ...(may('placement.change') ? [words.commands] : [])]}
            rows={placements.toSorted((one, other) => (one.placedOn < other.placedOn ? 1 : -1)).map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  <Link to={to(`sites/${each.siteId}`)}>{siteNamed(each.siteCode)}</Link>
                </th>
                <td>{day(each.placedOn)}</td>
                <td>{each.removedOn === null ? say.stillThere : day(each.removedOn)}</td>
                {may('placement.change') ? (
                  <td>
                    <OpenButton about={each.siteCode} onClick={() => setWish(each)}>{say.correct}</OpenButton>
                  </td>
                ) : null}
              </tr>
            ))}
          />
        )}
      </Answer>
      {mayPlace ? (
        <div className="row">
          <OpenButton onClick={() => setWish('place')}>{placement === null ? say.place : say.move}</OpenButton>
          {placement !== null && may('placement.end') ? <OpenButton onClick={() => setWish('take')}>{say.take}</OpenButton> : null}
        </div>
      ) : null}
      {wish !== null && typeof wish === 'object' ? <CorrectPlacement placement={wish} onClose={() => setWish(null)} /> : null}
      {wish === 'place' ? <PlaceMachine machine={machine} onClose={() => setWish(null)} /> : null}
      {wish === 'take' && placement !== null ? <TakeToShop machine={machine} placementId={placement.id} onClose={() => setWish(null)} /> : null}
    </div>
  );
}

/** What ran in it. */
export function GameSection({ machine }: OfMachine) {
  const { api, may } = useOperator();
  const [wish, setWish] = useState<'install' | 'take-out' | Installation | null>(null);
  const question = useQuery(installationsOfQuery(api, machine.id));
  const running = question.data?.find(({ removedOn }) => removedOn === null) ?? null;
  const say = text.installed;
  return (
    <div className="stack">
      <Answer question={question} lines={3}>
        {(installations) => (
          <TitledTable
            id="games" title={say.title} none={say.none} columns={[say.game, text.places.from, text.places.until, ...(may('installation.change') ? [words.commands] : [])]}
            rows={installations.toSorted((one, other) => (one.installedOn < other.installedOn ? 1 : -1)).map((each) => (
              <tr key={each.id}>
                <th scope="row">
                  {each.gameTitle} <span className="code small">{each.gameCode}</span>
                </th>
                <td>{day(each.installedOn)}</td>
                <td>{each.removedOn === null ? '' : day(each.removedOn)}</td>
                {may('installation.change') ? (
                  <td>
                    <OpenButton about={each.gameTitle} onClick={() => setWish(each)}>{text.places.correct}</OpenButton>
                  </td>
                ) : null}
              </tr>
            ))}
          />
        )}
      </Answer>
      {may(running === null ? 'installation.create' : 'installation.replace') && question.isSuccess ? (
        <div className="row">
          <OpenButton onClick={() => setWish('install')}>{running === null ? say.install : say.replace}</OpenButton>
          {running !== null && may('installation.end') ? <OpenButton onClick={() => setWish('take-out')}>{say.takeOut}</OpenButton> : null}
        </div>
      ) : null}
      {wish !== null && typeof wish === 'object' ? <CorrectInstallation installation={wish} onClose={() => setWish(null)} /> : null}
      {wish === 'install' ? <InstallGame machine={machine} running={running} onClose={() => setWish(null)} /> : null}
      {wish === 'take-out' && running !== null ? <TakeOutGame running={running} onClose={() => setWish(null)} /> : null}
    </div>
  );
}

/** The locks on it now; they are fitted and changed on the page of the keys of its site. */
export function LockSection({ machine }: OfMachine) {
  const { api, may, to } = useOperator();
  const question = useQuery(locksOfMachineQuery(api, machine.id));
  const say = text.locks;
  return (
    <div className="stack">
      <Answer question={question} lines={3}>
        {(locks) => (
          <TitledTable
            id="locks" title={say.title} none={say.none} columns={[say.lock, say.code, say.since]}
            rows={locks.map((lock) => (
              <tr key={lock.id}>
                <th scope="row">{words.keys.place[lock.opens]}</th>
                <td>{may('key-code.read') ? <Link to={to(`keys/codes/${lock.keyCodeId}`)}>{lock.keyCode}</Link> : lock.keyCode}</td>
                <td>{day(dayOf(new Date(lock.fittedAt)))}</td>
              </tr>
            ))}
          />
        )}
      </Answer>
      {machine.placement !== null && may('key-site.read') ? (
        <p>
          <Link to={to(`keys/sites/${machine.placement.siteId}`)}>{say.toSite}</Link>
        </p>
      ) : null}
    </div>
  );
}

/** When it did not work. */
export function OutageSection({ machine }: OfMachine) {
  const { api } = useOperator();
  const question = useQuery(outagesOfQuery(api, machine.id));
  const say = text.outages;
  return (
    <Answer question={question} lines={2}>
      {(outages) => (
        <TitledTable
          id="outages" title={say.title} none={say.none} columns={[say.from, say.until, say.cause, say.remedy]}
          rows={outages.map((outage) => (
            <tr key={outage.id}>
              <th scope="row">{formatInstant(outage.startedAt, locale)}</th>
              <td>{outage.endedAt === null ? <span className="state state-alarm">{say.open}</span> : formatInstant(outage.endedAt, locale)}</td>
              <td>
                {outage.cause}
                {outage.takenBack === null ? null : <div className="soft small">{say.takenBack(outage.takenBack.reason)}</div>}
              </td>
              <td>{outage.remedy ?? ''}</td>
            </tr>
          ))}
        />
      )}
    </Answer>
  );
}
