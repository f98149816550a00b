import { ROW_MOUTHS, type Stow, type Zone } from '@rundlet/contracts';
import { stowWords } from '@rundlet/domain';
import { useState } from 'react';
import { useParams } from 'wouter';
import { ActForm } from '../../aisle/acts/act-form.tsx';
import { useAct } from '../../acts/use-act.ts';
import { refreshAisle } from '../../data/aisle.ts';
import { api, queries, queryKey, useApi } from '../../data/client.ts';
import { ChoiceField, Empty, Loaded, NumberField, Page, SelectField } from '../../kit/kit.ts';

/** How a zone is stowed, for whoever keeps it to say. */
export default function ZonePage() {
  const { id = '' } = useParams<{ id: string }>();
  const stores = useApi(api.places.stores);
  return (
    <Loaded query={stores} what="Fetching the zone">
      {({ rows }) => {
        const row = rows.find(({ zones }) => zones.some(({ zone }) => zone.id === id));
        const zone = row?.zones.find((one) => one.zone.id === id)?.zone;
        return zone ? (
          <Page
            title={zone.name}
            lead={
              zone.stow
                ? `${row?.store.name ?? ''}. Stowed ${stowWords(zone.stow)}.`
                : `${row?.store.name ?? ''}. Nobody has said yet how it is stowed.`
            }
            narrow
          >
            <StowForm key={zone.id} zone={zone} />
          </Page>
        ) : (
          <Page title="Zone" narrow>
            <Empty title="There is no such zone" />
          </Page>
        );
      }}
    </Loaded>
  );
}

const KINDS = [
  { value: 'racked', label: 'in racks' },
  { value: 'dunnage', label: 'on dunnage' },
  { value: 'palletised', label: 'on pallets' },
] as const;
const KIND_HINT: Record<Stow['kind'], string> = {
  racked: 'Each place is reached alone.',
  dunnage:
    'Casks lie in lines on rails, a line for each slot, tier on tier, and come out at the row’s mouth.',
  palletised: 'Casks stand upright; the slots of a bay and level are one pallet, pallet on pallet.',
};
const MOUTH_LABEL: Record<(typeof ROW_MOUTHS)[number], string> = {
  'lowest-bay': 'at its first bay, the lowest by name',
  'highest-bay': 'at its last bay, the highest by name',
  'both-ends': 'at either end',
  'every-bay': 'at every bay, from a gangway alongside',
};

function StowForm({ zone }: { zone: Zone }) {
  const act = useAct('zone.describe');
  const { stow } = zone;
  const [kind, setKind] = useState<Stow['kind']>(stow?.kind ?? 'racked');
  const [mouth, setMouth] = useState<(typeof ROW_MOUTHS)[number]>(
    stow && stow.kind !== 'racked' ? stow.mouth : 'lowest-bay',
  );
  const [largest, setLargest] = useState(stow?.largestCaskLitres ?? null);
  const submit = async () => {
    const size = { largestCaskLitres: largest };
    const result = await act.run(
      { zoneId: zone.id, stow: kind === 'racked' ? { kind, ...size } : { kind, mouth, ...size } },
      `Describe how ${zone.name} is stowed`,
    );
    if (result?.status !== 'applied') return;
    void refreshAisle({ evenIfFresh: true });
    void queries.invalidateQueries({ queryKey: queryKey(api.places.stores).slice(0, 2) });
  };
  return (
    <ActForm
      act={act}
      pointers={['/stow', '/stow/largestCaskLitres']}
      button="Keep this description"
      icon="check"
      applied="The zone is described"
      back={`/map?zone=${zone.id}`}
      backWords="To the map"
      onSubmit={() => void submit()}
    >
      <ChoiceField
        label="How its casks are stowed"
        hint={KIND_HINT[kind]}
        value={kind}
        onChange={setKind}
        choices={KINDS}
        error={act.errors.at('/stow')}
      />
      {kind !== 'racked' && (
        <SelectField
          label="Where one gets at a row"
          hint="Bays and levels stand in the order of their names; the lowest level is on the floor."
          value={mouth}
          onChange={setMouth}
          choices={ROW_MOUTHS.map((value) => ({ value, label: MOUTH_LABEL[value] }))}
        />
      )}
      <NumberField
        label="Largest cask that a place takes"
        hint="Empty where any that the estate has will do."
        unit="L"
        value={largest}
        onChange={setLargest}
        error={act.errors.at('/stow/largestCaskLitres')}
      />
    </ActForm>
  );
}
