import type { LineageGraph } from '@rundlet/contracts';
import { useEffect, useMemo, useRef, useState, type KeyboardEvent } from 'react';
import { Link } from 'wouter';
import { format, Notice } from '../../kit/kit.ts';
import { isStepKind } from './steps.ts';
import { KIND_WORDS, type Direction } from './kinds.ts';
import { alongWith, BOX, layOut, nextBox, type Box, type Node, type Tie } from './layout.ts';
import './lineage.css';

/**
 * From plots at the left to bottles at the right; a ribbon is as thick as the share of ethanol it carries. Groups open where
 * they stand, arrow keys go from box to box, and a chosen box shows the way through it.
 */
export function LineageDrawing({
  graph,
  direction,
  subjectId,
}: {
  graph: LineageGraph;
  direction: Direction;
  subjectId: string;
}) {
  const [open, setOpen] = useState<ReadonlySet<string>>(new Set());
  const [chosen, setChosen] = useState<string | null>(null);
  const frame = useRef<HTMLDivElement>(null);
  const { boxes, ties, steps, width, height } = useMemo(
    () => layOut(graph, open, direction),
    [graph, open, direction],
  );
  const along = useMemo(() => (chosen === null ? null : alongWith(chosen, ties)), [chosen, ties]);
  const chosenNode = boxes.find((b) => b.key === chosen)?.node ?? null;
  const subject = boxes.find((b) => b.node?.id === subjectId);
  const [focused, setFocused] = useState<string | null>(null);
  const inOrder = focused ?? subject?.key ?? boxes[0]?.key;

  useEffect(() => {
    // Traced back, the thing asked about stands at the right end.
    if (frame.current && direction === 'back') frame.current.scrollLeft = frame.current.scrollWidth;
  }, [direction, graph]);

  const press = (box: Box) => {
    if (box.open === null) {
      setChosen(chosen === box.key ? null : box.key);
      return;
    }
    const next = new Set(open);
    if (!next.delete(box.key)) next.add(box.key);
    setOpen(next);
    setChosen(null);
  };
  const walk = (event: KeyboardEvent, box: Box) => {
    const next = nextBox(boxes, box, event.key);
    if (!next) return;
    event.preventDefault();
    frame.current?.querySelector<HTMLElement>(`[data-box="${CSS.escape(next.key)}"]`)?.focus();
  };
  return (
    <div className="stack">
      <div className="lineage-frame" ref={frame}>
        <div
          className="lineage"
          role="group"
          aria-label="Drawing of the chain. Arrow keys go from box to box; the table below says the same."
          style={{ width, height }}
        >
          <svg width={width} height={height} aria-hidden="true">
            {ties.map((tie) => (
              <path
                key={`${tie.from.key}>${tie.to.key}`}
                className={
                  along && !(along.has(tie.from.key) && along.has(tie.to.key)) ? 'aside' : undefined
                }
                d={ribbon(tie)}
                strokeWidth={Math.max(1, Math.min(1, tie.share) * 28)}
              />
            ))}
          </svg>
          {steps.map((step) => (
            <span className="lineage-step" key={step.title} style={{ left: step.x }}>
              {step.title} ({format.number(step.members)})
            </span>
          ))}
          {boxes.map((box) => (
            <button
              key={box.key}
              type="button"
              data-box={box.key}
              className={boxClass(box, along)}
              style={{ left: box.x, top: box.y, width: BOX.width, height: BOX.height }}
              tabIndex={box.key === inOrder ? 0 : -1}
              aria-expanded={box.open ?? undefined}
              aria-pressed={box.open === null ? chosen === box.key : undefined}
              onFocus={() => {
                setFocused(box.key);
              }}
              onKeyDown={(event) => {
                walk(event, box);
              }}
              onClick={() => {
                press(box);
              }}
            >
              <span className="lineage-title">{titleOf(box)}</span>
              <span className="lineage-detail">
                {box.members > 0 && (
                  <>
                    {box.node && box.node.name !== '' && <>{box.node.code} </>}
                    <b>{format.percent(box.share, 1)}</b>
                    {direction === 'forth' && box.members > 1 && ' on average'}
                  </>
                )}
              </span>
              {box.members > 0 && (
                <span
                  className="lineage-share"
                  style={{ width: `${String(Math.min(1, box.share) * 100)}%` }}
                />
              )}
            </button>
          ))}
        </div>
      </div>
      {chosenNode && <Chosen node={chosenNode} direction={direction} />}
    </div>
  );
}

function Chosen({ node, direction }: { node: Node; direction: Direction }) {
  return (
    <Notice
      title={`${KIND_WORDS[node.kind]} ${node.code}`}
      live
      actions={<NodeLinks node={node} />}
    >
      {[node.name, node.detail].filter(Boolean).join(' · ')}.{' '}
      {direction === 'back'
        ? `${format.percent(node.share, 2)} of the ethanol came through it.`
        : `${format.percent(node.share, 2)} of its ethanol is of it.`}
    </Notice>
  );
}

/** Where one can go from a step of the chain. */
export function NodeLinks({
  node,
  onItsPage = false,
}: {
  node: Pick<Node, 'kind' | 'id'>;
  onItsPage?: boolean;
}) {
  const page = isStepKind(node.kind)
    ? `/origins/${node.kind}`
    : ({ blend: '/blends', vat: '/vats', 'bottling-run': '/bottlings' }[node.kind as 'vat'] as
        string | undefined);
  return (
    <span className="line">
      {page !== undefined && !onItsPage && <Link href={`${page}/${node.id}`}>Its page</Link>}
      {node.kind !== 'plot' && (
        <Link href={`/lineage/${node.kind}/${node.id}`}>Back to its plots</Link>
      )}
      {node.kind !== 'bottling-run' && node.kind !== 'vat' && (
        <Link href={`/lineage/${node.kind}/${node.id}?forth`}>Forth</Link>
      )}
      {RECALLED.includes(node.kind) && (
        <Link href={`/recall/${node.kind}/${node.id}`}>Where it is now</Link>
      )}
    </span>
  );
}
const RECALLED: readonly string[] = [
  'plot',
  'harvest-lot',
  'ferment',
  'still-run',
  'spirit-lot',
  'filling',
];

function boxClass(box: Box, along: ReadonlySet<string> | null): string {
  const group = box.open === null ? '' : ' lineage-group';
  return `lineage-box${group}${along && !along.has(box.key) ? ' aside' : ''}`;
}

const titleOf = (box: Box): string =>
  box.node || box.members === 0 || box.title.endsWith('more groups')
    ? box.title
    : `${format.number(box.members)} × ${box.title}`;

function ribbon({ from, to }: Tie): string {
  const [x1, y1, x2, y2] = [
    from.x + BOX.width,
    from.y + BOX.height / 2,
    to.x,
    to.y + BOX.height / 2,
  ];
  const middle = (x1 + x2) / 2;
  return `M${String(x1)} ${String(y1)}C${String(middle)} ${String(y1)} ${String(middle)} ${String(y2)} ${String(x2)} ${String(y2)}`;
}
