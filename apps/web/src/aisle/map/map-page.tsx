import { useState } from 'react';
import { Link, useSearch } from 'wouter';
import { positionWords, type AisleIndex } from '../../data/aisle-index.ts';
import { ChoiceField, CodeText, Empty, Notice, Page, SelectField } from '../../kit/kit.ts';
import { StoreOnDevice } from '../store/store-on-device.tsx';
import { LOSS_BANDS, useLossRates } from './loss-rates.ts';
import { RackDrawing } from './rack-drawing.tsx';
import { above, racksOf } from './racks.ts';

/** The store as its positions describe it, from what this device holds; a wanted cask is lit. */
export default function MapPage() {
  return (
    <Page title="Map" lead="Each row from the front, levels from the top down.">
      <StoreOnDevice>{(index) => <Racks index={index} />}</StoreOnDevice>
    </Page>
  );
}

function Racks({ index }: { index: AisleIndex }) {
  const search = new URLSearchParams(useSearch());
  const cask = index.caskById.get(search.get('cask') ?? '');
  const lit = index.positionById.get(search.get('position') ?? cask?.positionId ?? '');
  const [chosenZone, setZone] = useState('');
  const zoneId = chosenZone || lit?.zoneId || index.snapshot.zones[0]?.id || '';
  const racks = racksOf(index, zoneId);
  const litRow = lit && racks.find(({ name }) => name === lit.row);
  const elsewhere = !lit && (search.has('cask') || search.has('position'));
  const [show, setShow] = useState<'standing' | 'loss'>('standing');
  const rates = useLossRates(index.snapshot.store.id, show === 'loss');
  const over = lit && litRow ? above(litRow, lit) : [];
  return (
    <div className="stack">
      {lit && (
        <Notice tone="good" title={cask ? `Cask ${cask.code}` : 'The position'}>
          {positionWords(lit)}
          {over.length > 0 && (
            <>
              . Above it in the bay:{' '}
              {over.map((one, i) => (
                <span key={one.id}>
                  {i > 0 && ', '}
                  <Link href={`/casks/${one.id}`}>
                    <CodeText code={one.code} />
                  </Link>
                </span>
              ))}
            </>
          )}
        </Notice>
      )}
      {elsewhere && (
        <Notice tone="caution" title="Not in the store on this device">
          What is looked for stands in another store, or nowhere by the book. Change the store
          below.
        </Notice>
      )}
      <SelectField
        label="Zone"
        value={zoneId}
        onChange={setZone}
        choices={index.snapshot.zones.map(({ id, name }) => ({ value: id, label: name }))}
      />
      <ChoiceField
        label="Show"
        value={show}
        onChange={setShow}
        choices={[
          { value: 'standing', label: 'what stands where' },
          { value: 'loss', label: 'loss a year' },
        ]}
      />
      <ul className="bare-list rack-legend small">
        {show === 'loss' && (
          <>
            {LOSS_BANDS.map(({ className, words }) => (
              <li key={className}>
                <span className={`slot slot-taken ${className}`} /> {words}
              </li>
            ))}
            <li>
              <span className="slot slot-taken slot-loss-none" /> not gauged since the fill
            </li>
          </>
        )}
        <li>
          <span className="slot" /> free
        </li>
        {show === 'standing' && (
          <li>
            <span className="slot slot-taken" /> cask
          </li>
        )}
        <li>
          <span className="slot slot-empty" /> empty cask
        </li>
        <li>
          <span className="slot slot-taken slot-ill" /> suspect, leaking or under repair
        </li>
        <li>
          <span className="slot slot-taken slot-lit" /> the one wanted
        </li>
      </ul>
      {racks.length === 0 ? (
        <Empty title="No positions in this zone" />
      ) : (
        racks.map((row) => (
          <RackDrawing
            key={row.name}
            row={row}
            litId={lit?.id ?? null}
            rates={show === 'loss' ? rates : null}
          />
        ))
      )}
    </div>
  );
}
