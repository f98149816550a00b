import { useEffect, useState } from 'react';
import { Button, format, LinkButton, Notice } from '../../kit/kit.ts';

interface Storage {
  /** The browser has promised to keep it. */
  kept: boolean;
  usedMb: number | null;
  freeMb: number | null;
}
const MEGABYTE = 1e6;
/** Below this a browser may begin to clear pages it has not promised to keep. */
const LITTLE_MB = 200;

async function readStorage(): Promise<Storage> {
  const { usage, quota } =
    'estimate' in navigator.storage ? await navigator.storage.estimate() : {};
  return {
    kept: await navigator.storage.persisted(),
    usedMb: usage === undefined ? null : usage / MEGABYTE,
    freeMb: usage === undefined || quota === undefined ? null : (quota - usage) / MEGABYTE,
  };
}

/** Whether what this device keeps is safe from the browser, and what to do when it is not. */
export function StorageState() {
  const [storage, setStorage] = useState<Storage | null>(null);
  useEffect(() => {
    if (!('storage' in navigator)) return;
    void readStorage().then(setStorage, () => undefined);
  }, []);
  if (!isSecureContext)
    return (
      <Notice
        tone="caution"
        title="This page does not come over HTTPS"
        actions={<LinkButton to="/https">How to serve it over HTTPS</LinkButton>}
      >
        So the browser cannot keep the program for use without a network, nor open the camera. A
        hand scanner, typed codes and photos work.
      </Notice>
    );
  if (!storage) return null;
  const { kept, usedMb, freeMb } = storage;
  const used = usedMb === null ? '' : `${format.number(Math.ceil(usedMb))} MB are used here. `;
  if (freeMb !== null && freeMb < LITTLE_MB)
    return (
      <Notice tone="bad" title="Little room is left on this device">
        {used}Only about {format.number(Math.floor(freeMb))} MB are free for this page. Send what
        waits, and free some room before a long count.
      </Notice>
    );
  if (kept)
    return <Notice tone="good">{used}The browser has promised not to clear them by itself.</Notice>;
  const ask = () => void navigator.storage.persist().then(readStorage).then(setStorage);
  return (
    <Notice
      tone="caution"
      title="The browser may clear this storage"
      actions={<Button onClick={ask}>Ask it to keep the storage</Button>}
    >
      {used}It may do so when space runs short, or on some phones after seven days without use. Put
      the page on the home screen, send what waits before a long break, or save it as a file.
    </Notice>
  );
}
