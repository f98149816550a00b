import { useState } from 'react';
import { useSessionState } from '../data/session.tsx';
import { Button } from '../kit/button.tsx';
import { Failed } from '../kit/states.tsx';
import { TextField } from '../kit/text-fields.tsx';
import { useOutboxItems } from '../acts/outbox.ts';
import { Notice } from '../kit/surface.tsx';
import { Brand } from './brand.tsx';
import './gate.css';

export function SignInPage() {
  const { signIn } = useSessionState();
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const unsent = useOutboxItems().filter((item) => item.state === 'waiting').length;

  const submit = async () => {
    setBusy(true);
    setError(null);
    try {
      await signIn(name, password);
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <main className="gate" data-place="aisle">
      <div className="gate-sheet">
        <Brand />
        <h1>Sign in</h1>
        {unsent > 0 && (
          <Notice tone="caution">
            {unsent} {unsent === 1 ? 'entry is' : 'entries are'} kept on this device and will be
            sent once you are signed in.
          </Notice>
        )}
        <form
          className="stack"
          onSubmit={(event) => {
            event.preventDefault();
            void submit();
          }}
        >
          <TextField
            label="Sign-in name"
            value={name}
            onChange={setName}
            autoComplete="username"
            autoCapitalize="none"
            spellCheck={false}
            required
            autoFocus
          />
          <TextField
            label="Password"
            type="password"
            value={password}
            onChange={setPassword}
            autoComplete="current-password"
            required
          />
          {error !== null && <Failed error={error} />}
          <Button type="submit" kind="main" wide busy={busy}>
            {busy ? 'Signing in …' : 'Sign in'}
          </Button>
        </form>
      </div>
    </main>
  );
}
