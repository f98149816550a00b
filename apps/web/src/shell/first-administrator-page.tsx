import { RefusedError } from '@rundlet/client';
import { api, type Problem } from '@rundlet/contracts';
import { useState } from 'react';
import { useLocation, useParams, useSearch } from 'wouter';
import { client } from '../data/client.ts';
import { useSessionState } from '../data/session.tsx';
import { Button } from '../kit/button.tsx';
import { fieldErrors, problemFromIssues } from '../kit/problem.ts';
import { errorWords } from '../kit/states.tsx';
import { Notice } from '../kit/surface.tsx';
import { TextField } from '../kit/text-fields.tsx';
import { Brand } from './brand.tsx';
import './gate.css';

/** Opened once, from the link that a new installation prints when it starts. */
export function FirstAdministratorPage() {
  const { signIn } = useSessionState();
  const [, go] = useLocation();
  const { token: inPath } = useParams<{ token?: string }>();
  const inQuery = new URLSearchParams(useSearch()).get('token');
  const [form, setForm] = useState({ name: '', signInName: '', password: '' });
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const token = inPath ?? inQuery ?? '';
  const errors = fieldErrors(problem);
  const field = (name: keyof typeof form) => ({
    value: form[name],
    onChange: (value: string) => {
      setForm({ ...form, [name]: value });
    },
    error: errors.at(`/${name}`),
  });

  const submit = async () => {
    const body = { token, ...form };
    const check = api.session.setUp.body.safeParse(body);
    if (!check.success) {
      setProblem(problemFromIssues(check.error.issues));
      return;
    }
    setBusy(true);
    setProblem(null);
    try {
      await client.call(api.session.setUp, { body });
      await signIn({ signInName: form.signInName, password: form.password });
      go('/', { replace: true });
    } catch (error) {
      const words = errorWords(error);
      setProblem(
        error instanceof RefusedError
          ? error.problem
          : { type: 'about:blank', title: words.title, detail: words.detail, status: 0 },
      );
    } finally {
      setBusy(false);
    }
  };
  return (
    <main className="gate" data-place="aisle">
      <div className="gate-sheet">
        <Brand />
        <h1>The first administrator</h1>
        <p className="soft">
          This link works once. The person made here can add everybody else, and set what the estate
          needs set.
        </p>
        {token === '' && (
          <Notice tone="bad" title="The link is incomplete">
            Open the whole link that the server printed when it was first started.
          </Notice>
        )}
        <form
          className="stack"
          onSubmit={(event) => {
            event.preventDefault();
            void submit();
          }}
        >
          <TextField label="Your name" autoComplete="name" {...field('name')} />
          <TextField
            label="Sign-in name"
            hint="Small letters, digits, dot and hyphen"
            autoComplete="username"
            autoCapitalize="none"
            {...field('signInName')}
          />
          <TextField
            label="Password"
            type="password"
            hint="At least 15 characters; a few unrelated words are good"
            autoComplete="new-password"
            {...field('password')}
          />
          {errors.rest(['/name', '/signInName', '/password']).map((line) => (
            <Notice key={line} tone="bad" live>
              {line}
            </Notice>
          ))}
          <Button type="submit" kind="main" wide busy={busy}>
            Make the administrator and sign in
          </Button>
        </form>
      </div>
    </main>
  );
}
