import { CLIMATE_WISHES } from '@rundlet/contracts';
import type { SuggestedPosition } from '@rundlet/domain';
import { useMemo, useState } from 'react';
import { useAisle } from '../../data/aisle.ts';
import { positionWords, type AislePosition } from '../../data/aisle-index.ts';
import { api, useApi } from '../../data/client.ts';
import { suggestHere, type ToPut } from '../../data/room.ts';
import { Button, Notice, SelectField } from '../../kit/kit.ts';
import './suggested-places.css';

const OFFERED = 4;
type Wish = (typeof CLIMATE_WISHES)[number];

/** Places for a cask, each with what speaks for it: from the server, or by what this device holds. */
export function SuggestedPlaces({
  cask,
  vatId,
  fromId,
  alsoTaken,
  onChoose,
}: {
  cask: ToPut;
  vatId: string | null;
  fromId: string | null;
  alsoTaken: readonly string[];
  onChoose: (position: AislePosition) => void;
}) {
  const { index } = useAisle();
  const [climate, setClimate] = useState<Wish | ''>('');
  const asked = useApi(api.places.suggest, {
    query: {
      caskId: cask.id,
      limit: Math.min(50, OFFERED + alsoTaken.length),
      ...(vatId ? { vatId } : {}),
      ...(fromId ? { fromId } : {}),
      ...(climate ? { climate } : {}),
    },
  });
  const { isError } = asked;
  const here = useMemo(
    () =>
      index && isError ? suggestHere(index, cask, { fromId, alsoTaken, limit: OFFERED }) : null,
    [index, isError, cask, fromId, alsoTaken],
  );
  const offers: readonly SuggestedPosition[] | null =
    asked.data?.rows
      // Given out on this device, and perhaps still on its way to the server.
      .filter(({ position }) => position.capacity > 1 || !alsoTaken.includes(position.id))
      .slice(0, OFFERED) ?? here;
  if (!offers)
    return isError ? (
      <Notice>Without a network, choose the store of this device to get suggestions.</Notice>
    ) : (
      <span className="field-hint">Looking for places …</span>
    );
  return (
    <fieldset className="field suggested-places">
      <legend className="field-label">Suggested places</legend>
      {here && (
        <span className="field-hint">
          By what this device knows, which is neither parcels nor owners
        </span>
      )}
      {offers.length === 0 && <span>No place with room fits.</span>}
      <ul className="bare-list stack-tight">
        {offers.map(({ position, why }) => (
          <li key={position.id}>
            <Button
              wide
              onClick={() => {
                onChoose(position);
              }}
            >
              <span className="suggested-place">
                <strong>
                  {[zoneNameOf(position), positionWords(position)].filter(Boolean).join(', ')}
                </strong>
                <span className="small soft">{why.join('; ')}</span>
              </span>
            </Button>
          </li>
        ))}
      </ul>
      {!here && (
        <SelectField
          label="Climate wished for"
          value={climate}
          onChange={setClimate}
          empty="none in particular"
          choices={CLIMATE_WISHES.map((wish) => ({ value: wish, label: wish }))}
        />
      )}
    </fieldset>
  );

  function zoneNameOf({ id, zoneId }: AislePosition): string | undefined {
    const row = asked.data?.rows.find(({ position }) => position.id === id);
    return row?.zoneName ?? index?.zoneName.get(zoneId);
  }
}
