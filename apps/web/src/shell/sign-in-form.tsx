import { RefusedError } from '@rundlet/client';
import { useState } from 'react';
import { useSessionState } from '../data/session.tsx';
import { Button } from '../kit/button.tsx';
import { Failed } from '../kit/states.tsx';
import { TextField } from '../kit/text-fields.tsx';

export function SignInForm({ onDone }: { onDone?: () => void }) {
  const { signIn } = useSessionState();
  const [signInName, setSignInName] = useState('');
  const [password, setPassword] = useState('');
  /** null until the server asks for it */
  const [secondStep, setSecondStep] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);

  const submit = async () => {
    setBusy(true);
    setError(null);
    try {
      await signIn({ signInName, password, ...(secondStep ? { secondStep } : {}) });
      onDone?.();
    } catch (cause) {
      if (secondStep === null && isSecondStepNeeded(cause)) setSecondStep('');
      else setError(cause);
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
        value={signInName}
        onChange={setSignInName}
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
      {secondStep !== null && (
        <TextField
          label="Code of your authenticator"
          hint="Six digits; or one of your recovery codes"
          value={secondStep}
          onChange={setSecondStep}
          autoComplete="one-time-code"
          required
          autoFocus
        />
      )}
      {error !== null && <Failed error={error} />}
      <Button type="submit" kind="main" wide busy={busy}>
        {busy ? 'Signing in …' : 'Sign in'}
      </Button>
    </form>
  );
}

const isSecondStepNeeded = (error: unknown): boolean =>
  error instanceof RefusedError && error.problem.type === '/problems/second-step-needed';
