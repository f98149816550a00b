import type { CaskCard, OriginShare, StepKind } from '@rundlet/contracts';
import { Link } from 'wouter';
import { Card, format, LinkButton } from '../../kit/kit.ts';

/** Where the spirit came from, and what else is known of the wood and its earlier fillings. */
export function CaskOrigins({ card }: { card: CaskCard }) {
  const { origins, filling, earlierFillings } = card;
  return (
    <>
      {origins && (
        <Card
          title="Origin of the spirit"
          aside={
            filling && (
              <span className="line">
                <LinkButton to={`/lineage/filling/${filling.id}`} kind="quiet" icon="thread">
                  Trace it
                </LinkButton>
                <LinkButton to={`/recall/filling/${filling.id}`} kind="quiet">
                  Where it has gone
                </LinkButton>
              </span>
            )
          }
        >
          <div className="grid">
            <Shares title="Spirit lots" kind="spirit-lot" shares={origins.lots} />
            <Shares title="Plots" kind="plot" shares={origins.plots} />
          </div>
        </Card>
      )}
      {earlierFillings.length > 0 && (
        <Card title="Earlier fillings">
          <ul className="stack-tight">
            {earlierFillings.map((earlier) => (
              <li key={earlier.id}>
                <span className="code">{earlier.code}</span>: {format.fillWords(earlier.fillNumber)}
                , {format.date(earlier.filledAt)} to {format.date(earlier.emptiedAt)},{' '}
                {format.pureAlcohol(earlier.fillFigures.litresPureAlcohol)} at fill;{' '}
                <Link href={`/recall/filling/${earlier.id}`}>where it has gone</Link>
              </li>
            ))}
          </ul>
        </Card>
      )}
    </>
  );
}

export function Shares({
  title,
  kind,
  shares,
}: {
  title: string;
  kind: StepKind;
  shares: readonly OriginShare[];
}) {
  return (
    <div>
      <h3>{title}</h3>
      <ul className="bare-list">
        {shares.map((share) => (
          <li key={share.id} className="share">
            <Link href={`/origins/${kind}/${share.id}`}>{share.name || share.code}</Link>
            <span className="number">{format.percent(share.share)}</span>
          </li>
        ))}
      </ul>
    </div>
  );
}
