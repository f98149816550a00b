import { Card, Facts, LinkButton, Mark, Notice, Page } from '../../kit/kit.ts';

/** Ordinary HTTPS on the estate's own network: why, the one command, and what each phone needs. */
export default function HttpsPage() {
  return (
    <Page
      title="HTTPS on your own network"
      lead="Phones open the camera and keep the program for work without a network only on a page that came by HTTPS."
      narrow
    >
      <Card title="This page">
        <Facts
          facts={[
            ['Address', location.origin],
            [
              'Trusted by this device',
              isSecureContext ? (
                <Mark tone="good">yes</Mark>
              ) : (
                <Mark tone="caution">no: no camera, and no work without a network</Mark>
              ),
            ],
            ['Kept on this device', <KeptMark />],
          ]}
        />
      </Card>
      <Card title="On the server, once">
        <div className="stack">
          <p>Two commands, with the name or address that phones will type:</p>
          <p className="code small">npm run rundlet -- certificate --host {location.hostname}</p>
          <p className="code small">npm run rundlet -- serve --https --host 0.0.0.0</p>
          <p>
            The first makes a certificate authority of your own and a certificate for the server by
            it; the second serves with it. The server’s certificate lasts a little over two years;
            the first command, given again, renews it, and the phones need nothing new.
          </p>
          <p>
            With a public name for the server, a certificate from a public authority is better:
            phones trust it by themselves. Put its files into RUNDLET_TLS_CERT and RUNDLET_TLS_KEY.
          </p>
        </div>
      </Card>
      <Card
        title="On each phone, once"
        aside={
          <a className="button" href="/authority.crt" download="rundlet-authority.crt">
            Fetch the authority
          </a>
        }
      >
        <div className="stack">
          <p>
            The browser warns the first time, because it does not know the authority yet. Fetch its
            file here, or bring it over by mail or cable, then let the device trust it:
          </p>
          <ul className="stack-tight">
            {DEVICES.map(({ name, steps }) => (
              <li key={name}>
                <strong>{name}:</strong> {steps}
              </li>
            ))}
          </ul>
          <p>
            Close the page, open it again, and put it on the home screen. Clicking the warning away
            instead is not enough: the page opens, but is not kept for use without a network.
          </p>
        </div>
      </Card>
      <Notice tone="caution" title="What trusting it means">
        Whoever holds the file authority.key in the server’s data folder can pretend to be any site
        to the phones that trust it. Keep it to yourself, best on a stick in a drawer, and take the
        authority off a phone that leaves the estate.
      </Notice>
      <div>
        <LinkButton to="/store" icon="store">
          Store on this device
        </LinkButton>
      </div>
    </Page>
  );
}

const KeptMark = () =>
  'serviceWorker' in navigator && navigator.serviceWorker.controller ? (
    <Mark tone="good">yes, it opens without a network</Mark>
  ) : (
    <Mark tone="caution">not yet</Mark>
  );

/** Where the makers put it; words of the settings as they stood in 2026, from memory. */
const DEVICES = [
  {
    name: 'iPhone, iPad',
    steps:
      'open the file; Settings, Profile downloaded, Install. Then Settings, General, About, Certificate Trust Settings: switch it on.',
  },
  {
    name: 'Android',
    steps:
      'Settings, Security, More, Encryption and credentials, Install a certificate, CA certificate. The names differ a little by maker.',
  },
  {
    name: 'Windows',
    steps:
      'open the file, Install certificate, Local machine, Trusted Root Certification Authorities.',
  },
  { name: 'macOS', steps: 'open the file in Keychain Access and set it to Always trust.' },
  { name: 'Firefox', steps: 'Settings, Privacy and security, Certificates, Authorities, Import.' },
] as const;
