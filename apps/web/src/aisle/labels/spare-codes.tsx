import { api } from '@rundlet/contracts';
import { useState } from 'react';
import { client, useApi } from '../../data/client.ts';
import { Button, Card, CodeText, Failed, format, NumberField } from '../../kit/kit.ts';

/** Labels for casks that are not here yet: how many, and the codes they will bear. */
export function SpareCodes({
  codes,
  onChange,
}: {
  codes: readonly string[];
  onChange: (codes: string[]) => void;
}) {
  const spares = useApi(api.labels.spares, {}, { staleTime: 0 });
  const [howMany, setHowMany] = useState<number | null>(20);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const count = howMany ?? 0;
  const fits = Number.isInteger(count) && count >= 1 && count <= 500;
  const take = async () => {
    setBusy(true);
    setError(null);
    try {
      const { caskCodes } = await client.call(api.casks.nextCodes, { query: { count } });
      onChange(caskCodes);
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <Card title="For casks to come">
      <div className="stack">
        <p>
          Print a stack in advance. At filling, fix one to the cask and scan it: the program asks
          which cask it is on, and from then on the label leads there.
        </p>
        <NumberField
          label="How many"
          unit="labels"
          value={howMany}
          onChange={setHowMany}
          error={fits ? undefined : 'A whole number from 1 to 500 is needed'}
        />
        <div>
          <Button
            kind={codes.length === 0 ? 'main' : 'plain'}
            busy={busy}
            disabled={!fits}
            onClick={() => void take()}
          >
            {codes.length === 0 ? 'Take the next free codes' : 'Take other codes'}
          </Button>
        </div>
        {error !== null && <Failed error={error} />}
        {codes.length > 0 && (
          <p>
            <CodeText code={codes[0] ?? ''} />
            {codes.length > 1 && (
              <>
                {' '}
                to <CodeText code={codes.at(-1) ?? ''} />
              </>
            )}
            . They are taken for good once the labels are made.
          </p>
        )}
        {spares.data && spares.data.open > 0 && (
          <details>
            <summary>
              {format.count(spares.data.open, 'spare label is', 'spare labels are')} printed and on
              no cask yet
            </summary>
            <ul className="bare-list line">
              {spares.data.rows.map(({ code }) => (
                <li key={code}>
                  <CodeText code={code} />
                </li>
              ))}
            </ul>
            <Button
              onClick={() => {
                onChange(spares.data.rows.map(({ code }) => code));
              }}
            >
              Print {spares.data.rows.length < spares.data.open ? 'these' : 'them'} again
            </Button>
          </details>
        )}
      </div>
    </Card>
  );
}
