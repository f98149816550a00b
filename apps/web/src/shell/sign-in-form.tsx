import { useState } from 'react';
import { useSessionState } from '../data/session.tsx';
import { Button } from '../kit/button.tsx';
import { Failed } from '../kit/states.tsx';
import { TextField } from '../kit/text-fields.tsx';

export function SignInForm({ onDone }: { onDone?: () => void }) {
  const { signIn } = useSessionState();
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);

  const submit = async () => {
    setBusy(true);
    setError(null);
    try {
      await signIn(name, password);
      onDone?.();
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
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
  );
}
