import type { CallOf, Endpoint } from '@rundlet/contracts';
import { useState } from 'react';
import { Button, Failed } from '../kit/kit.ts';
import { client } from './client.ts';
import { download } from './download.ts';

/** Fetches a file from the server and hands it over under the name the server gives it. */
export function FileButton<E extends Endpoint>({
  endpoint,
  input,
  label,
}: {
  endpoint: E;
  input: CallOf<E>;
  label: string;
}) {
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const fetchFile = async () => {
    setBusy(true);
    setError(null);
    try {
      const { bytes, fileName, contentType } = await client.file(endpoint, input);
      download(bytes, fileName ?? label, contentType);
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      <Button icon="download" busy={busy} onClick={() => void fetchFile()}>
        {label}
      </Button>
      {error !== null && <Failed error={error} />}
    </>
  );
}
