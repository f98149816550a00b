import { stowWords } from '@rundlet/domain';
import { useState } from 'react';
import { useSearch } from 'wouter';
import { positionWords, stowOf, type AisleIndex } from '../../data/aisle-index.ts';
import { chooseStore } from '../../data/aisle.ts';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  ChoiceField,
  Empty,
  LinkButton,
  Notice,
  Page,
  SelectField,
} from '../../kit/kit.ts';
import { StoreOnDevice } from '../store/store-on-device.tsx';
import { LOSS_BANDS, useLossRates } from './loss-rates.ts';
import { RackDrawing } from './rack-drawing.tsx';
import { racksOf, wayTo } from './racks.ts';
import { turnsOf, WayThere } from './way-there.tsx';

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
  const zoneId =
    chosenZone || lit?.zoneId || search.get('zone') || index.snapshot.zones[0]?.id || '';
  const racks = racksOf(index, zoneId);
  const litRow = lit && racks.find(({ name }) => name === lit.row);
  const elsewhere = !lit && (search.has('cask') || search.has('position'));
  const [show, setShow] = useState<'standing' | 'loss'>('standing');
  const rates = useLossRates(index.snapshot.store.id, show === 'loss');
  const way = lit && litRow ? wayTo(index, litRow, lit, cask?.id ?? null) : null;
  const zone = index.snapshot.zones.find(({ id }) => id === zoneId);
  const stow = zone ? stowOf(zone) : null;
  const may = useMay();
  return (
    <div className="stack">
      {lit && (
        <Notice tone="good" title={cask ? `Cask ${cask.code}` : 'The position'}>
          {[index.zoneName.get(lit.zoneId), positionWords(lit)].filter(Boolean).join(', ')}
        </Notice>
      )}
      {lit && way && <WayThere way={way} cask={cask ?? null} />}
      {elsewhere && <Elsewhere caskId={search.get('cask')} />}
      <SelectField
        label="Zone"
        value={zoneId}
        onChange={setZone}
        choices={index.snapshot.zones.map(({ id, name }) => ({ value: id, label: name }))}
      />
      <p className="line-spread">
        <span>
          {stow ? `Stowed ${stowWords(stow)}.` : 'Nobody has said yet how this zone is stowed.'}
        </span>
        {may('keep') && zoneId !== '' && (
          <LinkButton to={`/zones/${zoneId}`} kind="quiet" icon="note">
            Describe it
          </LinkButton>
        )}
      </p>
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
        {way && way.lifts.length > 0 && (
          <li>
            <span className="slot slot-taken slot-in-the-way" data-turn="1" /> shifted first, by
            turn
          </li>
        )}
      </ul>
      {racks.length === 0 ? (
        <Empty title="No positions in this zone" />
      ) : (
        racks.map((row) => (
          <RackDrawing
            key={row.name}
            row={row}
            litId={lit?.id ?? null}
            stow={stow}
            marks={row === litRow && way ? turnsOf(way) : undefined}
            rates={show === 'loss' ? rates : null}
          />
        ))
      )}
    </div>
  );
}

/** What is looked for is not in the store on this device; a cask's own store is one button away. */
function Elsewhere({ caskId }: { caskId: string | null }) {
  const card = useApi(
    api.casks.card,
    { params: { id: caskId ?? '' } },
    { enabled: caskId !== null },
  );
  const { cask, store } = card.data ?? {};
  return (
    <Notice
      tone="caution"
      title="Not in the store on this device"
      actions={
        store && (
          <Button onClick={() => void chooseStore(store.id)}>Keep {store.name} here instead</Button>
        )
      }
    >
      {store && cask
        ? `Cask ${cask.code} stands in ${store.name}.`
        : 'What is looked for stands in another store, or nowhere by the book. Change the store below.'}
    </Notice>
  );
}
