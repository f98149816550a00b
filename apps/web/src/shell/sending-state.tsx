import { useState } from 'react';
import { Link } from 'wouter';
import { sendWaiting, useOutboxItems, useSending } from '../acts/outbox.ts';
import { useSessionState } from '../data/session.tsx';
import { useReachable } from '../data/network.ts';
import { Button } from '../kit/button.tsx';
import { Dialog, Mark } from '../kit/surface.tsx';
import { SignInForm } from './sign-in-form.tsx';

/** Network and outbox in one line, always in sight. */
export function SendingState() {
  const reachable = useReachable();
  const sending = useSending();
  const items = useOutboxItems();
  const { ended } = useSessionState();
  const [signing, setSigning] = useState(false);
  const waiting = items.filter((item) => item.state === 'waiting').length;
  const parked = items.filter((item) => item.state === 'needs-attention').length;
  const entries = (n: number): string => (n === 1 ? '1 entry' : `${String(n)} entries`);
  return (
    <div
      className={waiting > 0 || parked > 0 || !reachable ? 'sending sending-wide' : 'sending'}
      role="status"
      aria-live="polite"
    >
      {!reachable && waiting === 0 && (
        <Mark tone="caution" icon="cross">
          No network
        </Mark>
      )}
      {parked > 0 && (
        <Link href="/outbox">
          <Mark tone="bad" icon="warn">
            {entries(parked)} to look at
          </Mark>
        </Link>
      )}
      {waiting > 0 ? (
        <>
          <Link href="/outbox">
            <Mark tone="caution" icon={reachable ? 'wait' : 'cross'}>
              {reachable
                ? `${entries(waiting)} not sent yet`
                : `No network, ${String(waiting)} not sent`}
            </Mark>
          </Link>
          {ended ? (
            <Button
              icon="person"
              onClick={() => {
                setSigning(true);
              }}
            >
              Sign in to send
            </Button>
          ) : (
            <Button busy={sending === 'sending'} icon="send" onClick={() => void sendWaiting()}>
              {sending === 'sending' ? 'Sending' : 'Send now'}
            </Button>
          )}
        </>
      ) : (
        reachable &&
        parked === 0 && (
          <Link href="/outbox">
            <Mark tone="good">All sent</Mark>
          </Link>
        )
      )}
      <Dialog
        title="Sign in again"
        open={signing}
        onClose={() => {
          setSigning(false);
        }}
      >
        <p>The server asks for it from time to time. What waits here goes out afterwards.</p>
        <SignInForm
          onDone={() => {
            setSigning(false);
          }}
        />
      </Dialog>
    </div>
  );
}
