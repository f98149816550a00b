import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queries } from '../../data/client.ts';
import { Button, Failed, Notice, TextField } from '../../kit/kit.ts';
import './your-sign-in.css';

/** A secret for the authenticator, a code to show that it arrived, then the recovery codes, once. */
export function BeginSecondStep() {
  const [password, setPassword] = useState('');
  const [code, setCode] = useState('');
  const begin = useMutation({
    mutationFn: () => client.call(api.session.beginSecondStep, { body: { password } }),
    onSuccess: () => {
      setPassword('');
    },
  });
  const confirm = useMutation({
    mutationFn: () => client.call(api.session.confirmSecondStep, { body: { code } }),
  });
  if (confirm.data)
    return (
      <div className="stack">
        <Notice tone="caution" live title="Keep these recovery codes; they are not shown again">
          Each lets you in once when the phone is lost. Write them down or print them, and keep them
          apart from the phone.
        </Notice>
        <ul className="recovery-codes code">
          {confirm.data.recoveryCodes.map((one) => (
            <li key={one}>{one}</li>
          ))}
        </ul>
        <div className="line">
          <Button
            icon="download"
            onClick={() => {
              print();
            }}
          >
            Print
          </Button>
          <Button kind="main" onClick={() => void queries.invalidateQueries()}>
            I have kept them
          </Button>
        </div>
      </div>
    );
  if (begin.data)
    return (
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          confirm.mutate();
        }}
      >
        <p>Scan this with an authenticator app on your phone, or type the secret into it.</p>
        <img
          className="authenticator-code"
          src={`data:image/svg+xml,${encodeURIComponent(begin.data.picture)}`}
          alt="The secret as a QR code"
        />
        <p className="code authenticator-secret">{begin.data.secret.match(/.{1,4}/g)?.join(' ')}</p>
        <TextField
          label="Code that the app shows"
          hint="Six digits, new every half minute"
          value={code}
          onChange={setCode}
          autoComplete="one-time-code"
          autoFocus
        />
        {confirm.isError && <Failed error={confirm.error} />}
        <div className="form-foot">
          <Button kind="main" type="submit" busy={confirm.isPending} disabled={code.trim() === ''}>
            Turn it on
          </Button>
        </div>
      </form>
    );
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        begin.mutate();
      }}
    >
      <p>
        With it, signing in asks for a code of your phone as well: whoever learns your password
        cannot sign in with that alone.
      </p>
      <TextField
        label="Your password"
        type="password"
        value={password}
        onChange={setPassword}
        autoComplete="current-password"
      />
      {begin.isError && <Failed error={begin.error} />}
      <div className="form-foot">
        <Button kind="main" type="submit" busy={begin.isPending} disabled={password === ''}>
          Set up the second step
        </Button>
      </div>
    </form>
  );
}
