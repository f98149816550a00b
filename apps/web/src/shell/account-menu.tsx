import { useState } from 'react';
import { useLocation } from 'wouter';
import { useSession, useSessionState } from '../data/session.tsx';
import { useOutboxItems } from '../acts/outbox.ts';
import { Button } from '../kit/button.tsx';
import { ChoiceField } from '../kit/choice-fields.tsx';
import { Dialog, Mark, Notice } from '../kit/surface.tsx';
import { LOOKS, setLook, useLook } from './look.ts';

/** Who is signed in, how the screen looks on this device, and the way out. */
export function AccountMenu() {
  const [open, setOpen] = useState(false);
  const { person, demo } = useSession();
  const { signOut, remembered } = useSessionState();
  const look = useLook();
  const [, go] = useLocation();
  const unsent = useOutboxItems().filter((item) => item.state === 'waiting').length;
  return (
    <>
      <Button
        kind="quiet"
        icon="person"
        onClick={() => {
          setOpen(true);
        }}
      >
        <span className="visually-hidden">You and this device: </span>
        <span className="head-name">{person.name.split(' ')[0]}</span>
      </Button>
      <Dialog
        title={person.name}
        open={open}
        onClose={() => {
          setOpen(false);
        }}
      >
        <p className="line">
          {person.roles.map((role) => (
            <Mark key={role} icon="person">
              {role}
            </Mark>
          ))}
          {demo && <Mark tone="caution">demo estate</Mark>}
        </p>
        {remembered && (
          <Notice>
            The server cannot be asked just now; this device remembers that you signed in here.
          </Notice>
        )}
        {!remembered && (
          <Button
            icon="lock"
            onClick={() => {
              setOpen(false);
              go('/your-sign-in');
            }}
          >
            Password and second step
          </Button>
        )}
        <ChoiceField
          label="Look of this device"
          value={look}
          onChange={setLook}
          choices={LOOKS}
          hint="“Sun” is black on white with strong lines, for outdoors"
        />
        {unsent > 0 && (
          <Notice tone="caution">
            {unsent} {unsent === 1 ? 'entry is' : 'entries are'} not sent yet. They stay on this
            device and go out when somebody signs in here again.
          </Notice>
        )}
        <Button kind="grave" onClick={() => void signOut()}>
          Sign out
        </Button>
      </Dialog>
    </>
  );
}
