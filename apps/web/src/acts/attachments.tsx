import { pathOf } from '@rundlet/client';
import { api, type Attachment } from '@rundlet/contracts';
import { Icon } from '../kit/kit.ts';
import './attachments.css';

/** What an entry has attached: pictures small, each opening whole; papers by name. */
export function Attachments({ of }: { of: readonly Attachment[] }) {
  if (of.length === 0) return null;
  return (
    <ul className="attachments" aria-label="Attached">
      {of.map(({ sha256, mediaType, name }) => {
        const address = pathOf(api.attachments.bytes.path, { hash: sha256 });
        return (
          <li key={sha256}>
            {mediaType === 'application/pdf' ? (
              <a href={address} download={name}>
                <Icon name="download" />
                {name}
              </a>
            ) : (
              <a href={address} target="_blank" rel="noreferrer">
                <img src={address} alt={name} title={name} loading="lazy" />
              </a>
            )}
          </li>
        );
      })}
    </ul>
  );
}
