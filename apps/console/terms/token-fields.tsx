import { words } from '../words/words';
import type { TokenDraft } from './draft';
import { Item, replaced, Typed, without, type Around } from './editor-parts';

const text = words.terms.tokens;

interface TokenFieldsProps {
  readonly around: Around;
  readonly tokens: readonly TokenDraft[];
  readonly onTokens: (tokens: readonly TokenDraft[]) => void;
}

/** What each token is worth; one that is not listed is worth nothing. */
export function TokenFields({ around, tokens, onTokens }: TokenFieldsProps) {
  return (
    <>
      {tokens.length === 0 ? <p>{words.terms.unsaid.tokens}</p> : null}
      {tokens.map((token, index) => {
        const place = `tokens-${index}`;
        const set = (part: Partial<TokenDraft>) => onTokens(replaced(tokens, index, part));
        return (
          <Item key={index} around={around} place={place} legend={text.one(index + 1)} remove={text.remove(index + 1)} onRemove={() => onTokens(without(tokens, index))}>
            <Typed around={around} place={`${place}-tokenId`} label={text.name} value={token.tokenId} onValue={(tokenId) => set({ tokenId })} />
            <Typed around={around} place={`${place}-value`} label={text.value(around.currency)} figure value={token.value} onValue={(value) => set({ value })} />
          </Item>
        );
      })}
      <div>
        <button type="button" className="button button-small" onClick={() => onTokens([...tokens, { tokenId: '', value: '' }])}>
          {text.add}
        </button>
      </div>
    </>
  );
}
