import { outboxToFile, type OutboxItem } from '@rundlet/client';
import { useEffect, useState } from 'react';
import { deviceId } from '../../acts/device.ts';
import {
  askAboutHeld,
  outbox,
  sendWaiting,
  useOutboxItems,
  useSending,
} from '../../acts/outbox.ts';
import { signedInPerson } from '../../data/client.ts';
import { download } from '../../data/download.ts';
import { useReachable } from '../../data/network.ts';
import { StorageState } from '../store/storage-state.tsx';
import { Button, Card, Dialog, format, Mark, Notice, Page } from '../../kit/kit.ts';

/** What this device has not handed over yet, and what came of the rest. */
export default function OutboxPage() {
  const items = useOutboxItems();
  const reachable = useReachable();
  const sending = useSending();
  const waiting = items.filter(({ state }) => state === 'waiting');
  const others = waiting.filter(({ by }) => by !== null && by.id !== signedInPerson()?.id);
  const parked = items.filter(({ state }) => state === 'needs-attention');
  const held = items.filter(({ state }) => state === 'held');
  const sent = items.filter(({ state }) => state === 'sent').toReversed();

  useEffect(() => {
    void askAboutHeld();
  }, []);

  const exportFile = async () => {
    const madeAt = new Date().toISOString();
    const file = await outboxToFile(items, { device: await deviceId(), madeAt });
    download(file, `rundlet-not-sent-${madeAt.slice(0, 10)}.json`, 'application/json');
  };
  return (
    <Page
      title="Outbox"
      lead="Every entry is kept here first and goes out by itself, in order. The server books each once, however often it is sent."
      narrow
    >
      {waiting.length === 0 && parked.length === 0 ? (
        <Notice tone="good" title="Everything is sent" />
      ) : (
        <Notice
          tone="caution"
          title={`${format.count(waiting.length, 'entry', 'entries')} not sent yet`}
          actions={
            <>
              <Button
                kind="main"
                icon="send"
                busy={sending === 'sending'}
                onClick={() => void sendWaiting()}
              >
                {sending === 'sending' ? 'Sending' : 'Send now'}
              </Button>
              <Button icon="download" onClick={() => void exportFile()}>
                Save them as a file
              </Button>
            </>
          }
        >
          {sending === 'sign-in-needed'
            ? 'The server asks for a sign-in first.'
            : reachable
              ? 'They go out in a moment.'
              : 'The server cannot be reached just now.'}{' '}
          The file is the last resort for a device that will not see the server again: a keeper can
          import it.
        </Notice>
      )}
      {others.length > 0 && <OthersNotice others={others} />}
      <Items title="To look at" items={parked} settle />
      <Items title="Waiting" items={waiting} />
      <Items title="Held by the server for a keeper" items={held} />
      <Items title="Sent in the last day" items={sent} />
      <StorageState />
    </Page>
  );
}

/** Entries go out under the name of whoever made them, so those of others wait for them to sign in here. */
function OthersNotice({ others }: { others: readonly OutboxItem[] }) {
  const names = [...new Set(others.flatMap(({ by }) => by?.name ?? []))].join(', ');
  const adopt = async () => {
    for (const { id } of others) await outbox.adopt(id);
    await sendWaiting();
  };
  return (
    <Notice
      tone="caution"
      title={`${format.count(others.length, 'entry', 'entries')} made here by ${names}`}
      actions={<Button onClick={() => void adopt()}>Send them under my name</Button>}
    >
      They go out when {names} signs in on this device, so that the journal says who did the work.
    </Notice>
  );
}

function Items({
  title,
  items,
  settle = false,
}: {
  title: string;
  items: readonly OutboxItem[];
  settle?: boolean;
}) {
  const [taking, setTaking] = useState<OutboxItem | null>(null);
  if (items.length === 0) return null;
  return (
    <Card title={title} aside={<span className="soft">{format.number(items.length)}</span>}>
      <ul className="bare-list stack">
        {items.slice(0, 200).map((item) => (
          <li key={item.id} className="stack-tight">
            <span className="line-spread">
              <span>
                {item.words}{' '}
                <span className="soft small">
                  {format.dateTime(item.act.happenedAt)}
                  {item.by && `, ${item.by.name}`}
                </span>
              </span>
              <StateMark item={item} />
            </span>
            {item.problem && (
              <span className="small">{item.problem.detail ?? item.problem.title}</span>
            )}
            {settle && (
              <span className="line">
                <Button
                  icon="send"
                  onClick={() => {
                    void outbox.retry(item.id).then(sendWaiting);
                  }}
                >
                  Send again
                </Button>
                <Button
                  kind="grave"
                  onClick={() => {
                    setTaking(item);
                  }}
                >
                  Take it off
                </Button>
              </span>
            )}
          </li>
        ))}
      </ul>
      <Dialog
        title="Take this entry off the device?"
        open={taking !== null}
        onClose={() => {
          setTaking(null);
        }}
      >
        <p>{taking?.words}</p>
        <p>It was refused and is nowhere else. Save the entries as a file first if in doubt.</p>
        <Button
          kind="grave"
          onClick={() => {
            if (taking) void outbox.remove(taking.id);
            setTaking(null);
          }}
        >
          Take it off for good
        </Button>
      </Dialog>
    </Card>
  );
}

function StateMark({ item }: { item: OutboxItem }) {
  switch (item.state) {
    case 'waiting':
      return (
        <Mark tone="caution" icon="wait">
          waiting{item.tries > 0 && `, tried ${String(item.tries)} times`}
        </Mark>
      );
    case 'sent':
      return <Mark tone="good">booked</Mark>;
    case 'held':
      return (
        <Mark tone="caution" icon="lock">
          held
        </Mark>
      );
    case 'needs-attention':
      return <Mark tone="bad">refused</Mark>;
  }
}
