import { api, type StocktakeProgress } from '@rundlet/contracts';
import { useState } from 'react';
import { useAisle } from '../../data/aisle.ts';
import { useApi } from '../../data/client.ts';
import {
  Card,
  Empty,
  format,
  Loaded,
  Notice,
  Progress,
  SelectField,
  Table,
  type Column,
} from '../../kit/kit.ts';
import { RackDrawing, type SlotSign } from '../map/rack-drawing.tsx';
import { racksOf } from '../map/racks.ts';

type Row = StocktakeProgress['rows'][number];
const columns: readonly Column<Row>[] = [
  { key: 'zone', title: 'Zone', cell: ({ zoneName }) => zoneName },
  { key: 'row', title: 'Row', cell: ({ row }) => row },
  {
    key: 'seen',
    title: 'Seen',
    cell: ({ seen, expected, row }) => (
      <Progress
        label={`${format.number(seen)} of ${format.number(expected)} in ${row}`}
        value={expected === 0 ? 1 : seen / expected}
      />
    ),
  },
  {
    key: 'differences',
    title: 'Differences',
    cell: ({ differences }) => format.number(differences),
  },
];
const SIGNS: Record<StocktakeProgress['places'][number]['state'], SlotSign> = {
  seen: { look: 'seen', words: 'seen' },
  'to-find': { look: 'to-find', words: 'still to find' },
  difference: { look: 'difference', words: 'a difference' },
};

/** Where the count stands: by row, by whom, and on the store's map. It follows what others enter. */
export function CountProgress({ stocktakeId }: { stocktakeId: string }) {
  const query = useApi(
    api.stocktakes.progress,
    { params: { id: stocktakeId } },
    { refetchInterval: 15_000 },
  );
  return (
    <Loaded query={query} what="Asking where the count stands">
      {(progress) => (
        <>
          {progress.sample && <SampleSays sample={progress.sample} />}
          <div className="columns">
            <Card title="Row by row">
              {progress.rows.length === 0 ? (
                <Empty title="Nothing was expected" />
              ) : (
                <Table
                  caption="Rows of the count"
                  columns={columns}
                  rows={progress.rows}
                  rowKey={({ zoneId, row }) => `${zoneId} ${row}`}
                />
              )}
            </Card>
            <Card title="Who has counted">
              {progress.counters.length === 0 ? (
                <Empty title="Nobody yet" />
              ) : (
                <ul className="bare-list stack-tight">
                  {progress.counters.map(({ name, casks, lastAt }) => (
                    <li key={name} className="line-spread">
                      <span>{name}</span>
                      <span>
                        {format.count(casks, 'line')}{' '}
                        <span className="soft small">last {format.dateTime(lastAt)}</span>
                      </span>
                    </li>
                  ))}
                </ul>
              )}
              {progress.recount.length > 0 && (
                <p>{format.count(progress.recount.length, 'line')} to count again.</p>
              )}
            </Card>
          </div>
          <CountMap places={progress.places} />
        </>
      )}
    </Loaded>
  );
}

function SampleSays({ sample }: { sample: NonNullable<StocktakeProgress['sample']> }) {
  const { population, drawn, settled, wrong, mostWrong, confidence, seed } = sample;
  return (
    <Notice
      title={
        mostWrong === null
          ? `${format.number(settled)} of ${format.number(drawn)} drawn casks looked at`
          : `At most ${format.number(mostWrong)} of ${format.number(population)} casks are not where the book has them`
      }
    >
      {mostWrong === null
        ? 'A sample says something about the rest only when every cask drawn has been looked at.'
        : `${format.number(wrong)} of ${format.number(drawn)} drawn were wrong; ${format.percent(confidence, 0)} confidence, exact hypergeometric bound after Clopper and Pearson.`}{' '}
      Drawn by “{seed}”.
    </Notice>
  );
}

function CountMap({ places }: { places: StocktakeProgress['places'] }) {
  const { index } = useAisle();
  const marks = new Map(places.map(({ positionId, state }) => [positionId, SIGNS[state]]));
  const zoneIds = new Set(
    places.flatMap(({ positionId }) => index?.positionById.get(positionId)?.zoneId ?? []),
  );
  const [chosen, setChosen] = useState('');
  const zones = (index?.snapshot.zones ?? []).filter(({ id }) => zoneIds.has(id));
  const zoneId = chosen || (zones[0]?.id ?? '');
  if (!index || zones.length === 0) return null;
  return (
    <Card title="On the map">
      <div className="stack">
        {zones.length > 1 && (
          <SelectField
            label="Zone"
            value={zoneId}
            onChange={setChosen}
            choices={zones.map(({ id, name }) => ({ value: id, label: name }))}
          />
        )}
        <ul className="bare-list rack-legend small">
          <li>
            <span className="slot slot-taken slot-seen" /> seen
          </li>
          <li>
            <span className="slot slot-taken" /> still to find
          </li>
          <li>
            <span className="slot slot-taken slot-difference" /> a difference
          </li>
        </ul>
        {racksOf(index, zoneId)
          .filter((row) =>
            [...row.at.values()].some((slots) => slots.some((s) => marks.has(s.position.id))),
          )
          .map((row) => (
            <RackDrawing key={row.name} row={row} marks={marks} />
          ))}
      </div>
    </Card>
  );
}
