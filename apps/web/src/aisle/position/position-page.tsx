import { api } from '@rundlet/contracts';
import { Link, useParams } from 'wouter';
import { useAisle } from '../../data/aisle.ts';
import { positionWords } from '../../data/aisle-index.ts';
import { useApi } from '../../data/client.ts';
import { Card, CodeText, Empty, Facts, format, LinkButton, Page } from '../../kit/kit.ts';

/** A rack position: what stands there by the book, from this device or from the zone's map. */
export default function PositionPage() {
  const { id = '' } = useParams<{ id: string }>();
  const { index } = useAisle();
  const position = index?.positionById.get(id);
  const map = useApi(
    api.places.map,
    { params: { id: position?.zoneId ?? '' }, query: { positionId: id } },
    { enabled: position !== undefined },
  );
  const cell = map.data?.cells[0];
  const casks =
    cell?.casks ??
    index?.snapshot.casks
      .filter((cask) => cask.positionId === id)
      .map(({ id: caskId, code, status }) => ({ id: caskId, code, status })) ??
    [];
  if (!position || !index)
    return (
      <Page title="Rack position" narrow>
        <Empty
          title="Not in the store on this device"
          action={<LinkButton to="/store">Choose the store</LinkButton>}
        >
          Positions are shown for the store that this device holds.
        </Empty>
      </Page>
    );
  return (
    <Page
      title={positionWords(position)}
      lead={`${index.snapshot.store.name}, ${index.zoneName.get(position.zoneId) ?? ''}`}
      actions={
        <>
          <LinkButton to={`/map?position=${id}`} icon="store">
            On the map
          </LinkButton>
          <LinkButton to={`/labels?kind=position&ids=${id}`} icon="label">
            Print label
          </LinkButton>
        </>
      }
      narrow
    >
      <Facts
        facts={[
          ['Code on its label', <CodeText code={position.code} />],
          ['Room for', format.count(position.capacity, 'cask')],
          ['Free by the book', format.number(Math.max(0, position.capacity - casks.length))],
        ]}
      />
      <Card title="Here by the book">
        {casks.length === 0 ? (
          <Empty title="Nothing stands here" />
        ) : (
          <ul className="bare-list stack-tight">
            {casks.map((cask) => (
              <li key={cask.id} className="line-spread">
                <Link href={`/casks/${cask.id}`}>
                  <CodeText code={cask.code} />
                </Link>
                <span className="soft small">{cask.status}</span>
              </li>
            ))}
          </ul>
        )}
      </Card>
    </Page>
  );
}
