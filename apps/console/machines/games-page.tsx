import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { Game, Installation } from '../api/shapes';
import { today } from '../keys/set-up/day-field';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Found } from '../parts/found';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { OpenButton, SetUpViews } from '../set-up/parts';
import { words } from '../words/words';
import { ChangeGame, NewGame } from './game-forms';
import { gamesQuery, runningGamesQuery } from './queries';

const text = words.machines.games;

/** `games`: what is installed in cabinets, with where each runs. */
export function GamesPage() {
  const { api, may } = useOperator();
  const [editing, setEditing] = useState<Game | 'new' | null>(null);
  const allowed = may('game.read');
  const question = useQuery({ ...gamesQuery(api), enabled: allowed });
  const running = useQuery({ ...runningGamesQuery(api, today()), enabled: allowed && may('installation.read') });
  if (!allowed) return <Denied title={text.title} />;
  const add = may('game.create') ? <OpenButton main onClick={() => setEditing('new')}>{text.add}</OpenButton> : null;
  return (
    <Page title={text.title} lead={text.lead} actions={<SetUpViews />}>
      <Answer question={question} lines={8}>
        {(games) =>
          games.length === 0 ? (
            <Blank title={text.none}>
              <p>{text.noneWhat}</p>
              {add}
            </Blank>
          ) : (
            <>
              <div>{add}</div>
              <Found all={games} title={text.title} shown={text.shown} columns={[text.game, words.machines.kind, text.runsIn, ...(may('game.change') ? [words.commands] : [])]} textsOf={({ code, title, kind }) => [code, title, words.machineKind(kind)]}>
                {(game) => (
                  <tr key={game.id}>
                    <th scope="row">
                      {game.title} <span className="code small">{game.code}</span>
                    </th>
                    <td>{words.machineKind(game.kind)}</td>
                    <td>
                      <RunsIn installations={(running.data ?? []).filter(({ gameId }) => gameId === game.id)} />
                    </td>
                    {may('game.change') ? (
                      <td>
                        <OpenButton about={game.title} onClick={() => setEditing(game)}>{words.setUp.change}</OpenButton>
                      </td>
                    ) : null}
                  </tr>
                )}
              </Found>
            </>
          )
        }
      </Answer>
      {editing === 'new' ? <NewGame onClose={() => setEditing(null)} /> : null}
      {editing === null || editing === 'new' ? null : <ChangeGame game={editing} onClose={() => setEditing(null)} />}
    </Page>
  );
}

function RunsIn({ installations }: { readonly installations: readonly Installation[] }) {
  const { to } = useOperator();
  if (installations.length === 0) return <span className="soft">{text.runsNowhere}</span>;
  return (
    <span className="row">
      {installations.map(({ id, machineId, machineTag }) => (
        <Link key={id} to={to(`machines/${machineId}`)}>
          {machineTag}
        </Link>
      ))}
    </span>
  );
}
