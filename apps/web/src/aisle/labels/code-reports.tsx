import type { CodeReport } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';

const NAMES = { qr: 'QR code', code128: 'Linear code', 'gs1-128': 'Linear code, GS1-128' } as const;

/** How large each code comes out on this printer, and from how far it is read: all calculated. */
export function CodeReports({ codes }: { codes: readonly CodeReport[] }) {
  if (codes.length === 0) return null;
  return (
    <div className="stack-tight small">
      <dl className="code-reports">
        {codes.map((code) => (
          <div key={`${code.symbology} ${code.text}`}>
            <dt>
              {NAMES[code.symbology]}
              {code.level !== null && `, level ${code.level}`}
            </dt>
            <dd>
              <span className="code code-report-text">{code.text}</span>
              <br />
              module {format.number(code.moduleMm, 2)} mm ({format.count(code.moduleDots, 'dot')}) ·{' '}
              {format.number(code.widthMm, 1)} mm wide with its empty margin of{' '}
              {format.number(code.quietZoneMm, 1)} mm
              <br />
              read from up to about {format.number(code.readingDistanceM, 1)} m
            </dd>
          </div>
        ))}
      </dl>
      <p className="soft">
        Calculated for an ordinary phone’s video; a photograph reads from about twice as far.
      </p>
    </div>
  );
}
