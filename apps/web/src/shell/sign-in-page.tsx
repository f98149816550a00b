import { useOutboxItems } from '../acts/outbox.ts';
import { Notice } from '../kit/surface.tsx';
import { Brand } from './brand.tsx';
import { SignInForm } from './sign-in-form.tsx';
import './gate.css';

export function SignInPage() {
  const unsent = useOutboxItems().filter((item) => item.state === 'waiting').length;
  return (
    <main className="gate" data-place="aisle">
      <div className="gate-sheet">
        <Brand />
        <h1>Sign in</h1>
        {unsent > 0 && (
          <Notice tone="caution">
            {unsent} {unsent === 1 ? 'entry is' : 'entries are'} kept on this device and will be
            sent once whoever made them is signed in.
          </Notice>
        )}
        <SignInForm />
      </div>
    </main>
  );
}
