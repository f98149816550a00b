import { Link } from 'wouter';
import { useAisle } from '../../data/aisle.ts';
import { positionWords } from '../../data/aisle-index.ts';
import { codeOf } from '../../data/known-codes.ts';
import { Card, CodeText, Empty, format } from '../../kit/kit.ts';

export interface Stop {
  /** Cask id, or a code no cask answers to. */
  readonly key: string;
  readonly positionId: string | null;
}
const SHOWN = 40;

/** Casks to go to, in walking order; a blind counter is shown the places alone. */
export function WalkList({
  title,
  stops,
  blind,
  done,
}: {
  title: string;
  stops: readonly Stop[];
  blind: boolean;
  /** What is said once nothing is left. */
  done: string;
}) {
  const { index } = useAisle();
  const orderOf = ({ positionId }: Stop): number =>
    index?.positionById.get(positionId ?? '')?.walkOrder ?? Number.MAX_SAFE_INTEGER;
  const walk = [...stops].sort((a, b) => orderOf(a) - orderOf(b));
  return (
    <Card title={title} aside={<span className="soft">{format.number(stops.length)}</span>}>
      {walk.length === 0 ? (
        <Empty title={done} />
      ) : (
        <ol className="bare-list stack-tight">
          {walk.slice(0, SHOWN).map(({ key, positionId }) => {
            const position = index?.positionById.get(positionId ?? '');
            return (
              <li key={key} className="line-spread">
                <span>
                  {position ? (
                    <Link href={`/map?position=${position.id}`}>{positionWords(position)}</Link>
                  ) : (
                    'no place known'
                  )}
                </span>
                {!blind && (
                  <CodeText code={index?.caskById.has(key) ? codeOf(key) : caskOrText(key)} />
                )}
              </li>
            );
          })}
        </ol>
      )}
      {walk.length > SHOWN && (
        <p className="soft small">and {format.number(walk.length - SHOWN)} after them</p>
      )}
    </Card>
  );
}

/** An id of a cask of another store is shortened; a scanned text stands for itself. */
const caskOrText = (key: string): string =>
  /^[0-9a-f]{8}-[0-9a-f-]{27}$/.test(key) ? codeOf(key) : key;
