import { api, useApi } from '../../data/client.ts';
import { Card, Loaded, Page } from '../../kit/kit.ts';
import { BeginSecondStep } from './begin-second-step.tsx';
import { EndSecondStep } from './end-second-step.tsx';
import { PasswordForm } from './password-form.tsx';

/** One's own password and second step. */
export default function YourSignInPage() {
  const secondStep = useApi(api.session.secondStep);
  return (
    <Page title="Your sign-in">
      <Card title="Second step">
        <Loaded query={secondStep}>
          {({ on, recoveryCodesLeft }) =>
            on ? <EndSecondStep recoveryCodesLeft={recoveryCodesLeft} /> : <BeginSecondStep />
          }
        </Loaded>
      </Card>
      <Card title="Password">
        <PasswordForm />
      </Card>
    </Page>
  );
}
