import './due.css';
import type { Overview } from '@rundlet/contracts';
import { Link } from 'wouter';
import { Card, format, Mark } from '../../kit/kit.ts';

/** What waits for somebody: suspicions, casks long ungauged, open counts, held entries. */
export function Due({ overview: o }: { overview: Overview }) {
  return (
    <div className="stack">
      <Card title="To look at first">
        {o.suspicions.length === 0 ? (
          <p>No cask is under suspicion.</p>
        ) : (
          <ul className="plain-list">
            {o.suspicions.map((s) => (
              <li key={s.caskId} className="line-spread">
                <Link href={`/casks/${s.caskId}`}>{s.caskCode}</Link>
                <Mark tone={s.suspicion === 'possible-leak' ? 'bad' : 'caution'}>
                  {s.suspicion.replace('-', ' ')}
                </Mark>
                <span>gauged {format.date(s.lastGaugedAt)}</span>
              </li>
            ))}
          </ul>
        )}
      </Card>
      <Card title="Longest without a gauge" aside={<Link href="/regauge">Plan a round</Link>}>
        <ul className="plain-list">
          {o.longestUngauged.map((c) => (
            <li key={c.caskId} className="line-spread">
              <Link href={`/casks/${c.caskId}`}>{c.caskCode}</Link>
              <span>since {format.date(c.lastGaugedAt)}</span>
            </li>
          ))}
        </ul>
      </Card>
      <Card title="Open">
        <ul className="plain-list">
          <li className="line-spread">
            <Link href="/counts">Stock-takes</Link>
            <span>{format.number(o.openStocktakes)}</span>
          </li>
          <li className="line-spread">
            <Link href="/held">Held entries</Link>
            <span>{format.number(o.heldActs)}</span>
          </li>
          <li className="line-spread">
            <Link href="/journal">Entries in the journal</Link>
            <span>{format.number(o.journalEntries)}</span>
          </li>
        </ul>
      </Card>
    </div>
  );
}
