import { api, type VatView } from '@rundlet/contracts';
import { useApi } from '../../data/client.ts';
import { format, Loaded, Notice, SelectField } from '../../kit/kit.ts';

/** One of the vats, with what each holds. */
export function VatField({
  label = 'Vat',
  value,
  onChange,
  error,
  only,
}: {
  label?: string;
  value: string;
  onChange: (id: string, view: VatView) => void;
  error?: string | undefined;
  /** Which vats are offered. */
  only?: (view: VatView) => boolean;
}) {
  const vats = useApi(api.places.vats);
  return (
    <Loaded query={vats} what="Asking for the vats">
      {({ rows }) => {
        const offered = only ? rows.filter(only) : rows;
        if (offered.length === 0)
          return (
            <Notice tone="caution">
              No vat fits: of the same account, and with spirit in it where some is to be taken. A
              keeper can set one up.
            </Notice>
          );
        return (
          <SelectField
            label={label}
            value={value}
            onChange={(id) => {
              const view = offered.find(({ vat }) => vat.id === id);
              if (view) onChange(id, view);
            }}
            error={error}
            empty="Choose …"
            choices={offered.map(({ vat }) => ({
              value: vat.id,
              label: `${vat.name}: ${
                vat.figures.bulkLitresAt20C < 0.05
                  ? 'empty'
                  : `${format.litres(vat.figures.bulkLitresAt20C)} at ${format.strength(vat.figures.strengthPercentVol)}`
              }`,
            }))}
          />
        );
      }}
    </Loaded>
  );
}
