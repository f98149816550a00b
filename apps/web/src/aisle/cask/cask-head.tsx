import type { CaskCard } from '@rundlet/contracts';
import { Link } from 'wouter';
import type { CaskBrief } from '../../data/cask.ts';
import { format, Mark, Notice } from '../../kit/kit.ts';
import { CaskDrawing } from './cask-drawing.tsx';
import { CONDITION } from './condition.ts';

/** Who it is, where it stands, and what to know before touching it. */
export function CaskHead({ brief, card }: { brief: CaskBrief; card: CaskCard | null }) {
  const { position } = brief;
  return (
    <div className="cask-head">
      <CaskDrawing geometry={brief.geometry} litres={brief.figures?.bulkLitresAt20C ?? null} />
      <div className="cask-head-words">
        <span>
          {brief.kind}, {format.number(brief.nominalLitres)} L, {brief.woodSpecies}
          {brief.fillNumber !== null && <>, {format.fillWords(brief.fillNumber)}</>}
        </span>
        <span className="cask-place">
          {position ? (
            <>
              <Link href={`/positions/${position.id}`}>{position.words}</Link>
              {position.zone && <span className="soft small">{position.zone}</span>}
              <Link className="small" href={`/map?cask=${brief.id}`}>
                find it
              </Link>
            </>
          ) : (
            <span className="soft">No position in the book</span>
          )}
        </span>
        <CaskMarks brief={brief} card={card} />
      </div>
    </div>
  );
}

function CaskMarks({ brief, card }: { brief: CaskBrief; card: CaskCard | null }) {
  const condition = CONDITION[brief.condition];
  const filling = card?.filling;
  return (
    <span className="line">
      {brief.status === 'filled' && <Mark icon="cask">filled</Mark>}
      {brief.status === 'empty' && <Mark icon="cask">empty</Mark>}
      {brief.status === 'retired' && (
        <Mark tone="bad" icon="cross">
          retired
        </Mark>
      )}
      <Mark tone={condition.tone}>{condition.words}</Mark>
      {filling?.suspicion === 'possible-leak' && (
        <Mark tone="bad" icon="drop">
          loses too fast: possible leak
        </Mark>
      )}
      {filling?.suspicion === 'possible-blunder' && (
        <Mark tone="caution">last reading doubtful</Mark>
      )}
      {filling?.dutyStatus === 'paid' && <Mark>duty-paid</Mark>}
      {filling?.holdReason && (
        <Mark tone="caution" icon="lock">
          on hold: {filling.holdReason}
        </Mark>
      )}
      {filling?.reservedByPlanId && (
        <Mark tone="caution" icon="lock">
          reserved for a blend
        </Mark>
      )}
    </span>
  );
}

/** How old the figures are when they come from this device, and what is not sent yet. */
export function CaskSource({ brief }: { brief: CaskBrief }) {
  return (
    <>
      {brief.waiting.length > 0 && (
        <Notice tone="caution" title="Not sent yet">
          <ul>
            {brief.waiting.map((words, i) => (
              <li key={`${String(i)} ${words}`}>{words}</li>
            ))}
          </ul>
        </Notice>
      )}
      {brief.fromDeviceAt !== null && (
        <Notice>
          Shown from this device, as of {format.dateTime(brief.fromDeviceAt)}: the server cannot be
          asked just now. Gauges, events and history come back with the network.
        </Notice>
      )}
    </>
  );
}
