import { useEffect, useRef } from 'react';
import { useLocation } from 'wouter';
import { wedgeBurst } from './wedge-burst.ts';

export type TakesScan = (text: string) => void;
/** The page's own taker of scans is the last in the list; without one the scan leads to the scan page. */
const takers: TakesScan[] = [];

/** While the calling component stands, scans from hand scanners come to it, wherever the focus is. */
export function useScans(take: TakesScan, active = true): void {
  const latest = useRef(take);
  useEffect(() => {
    latest.current = take;
  });
  useEffect(() => {
    if (!active) return;
    const taker: TakesScan = (text) => {
      latest.current(text);
    };
    takers.push(taker);
    return () => {
      takers.splice(takers.indexOf(taker), 1);
    };
  }, [active]);
}

/** Called once by the frame: listens on the whole page. */
export function useScansEverywhere(): void {
  const [, go] = useLocation();
  useEffect(() => {
    const judge = wedgeBurst();
    let field: { element: HTMLInputElement | HTMLTextAreaElement; before: string } | null = null;
    const pressed = (event: KeyboardEvent): void => {
      const verdict = judge({
        key: event.key,
        ctrl: event.ctrlKey,
        atMs: event.timeStamp,
        repeat: event.repeat,
      });
      if (verdict.kind === 'began') field = fieldOf(event.target);
      if (verdict.kind !== 'scanned') return;
      event.preventDefault();
      event.stopPropagation();
      // The scanner typed into whatever had the focus; that was not meant for it.
      if (field) restore(field);
      field = null;
      const taker = takers.at(-1);
      if (taker) taker(verdict.text);
      else go(`/scan?text=${encodeURIComponent(verdict.text)}`);
    };
    addEventListener('keydown', pressed, { capture: true });
    return () => {
      removeEventListener('keydown', pressed, { capture: true });
    };
  }, [go]);
}

function fieldOf(
  target: EventTarget | null,
): { element: HTMLInputElement | HTMLTextAreaElement; before: string } | null {
  return target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement
    ? { element: target, before: target.value }
    : null;
}

/** Sets a field's value so that React hears of it. */
function restore({ element, before }: NonNullable<ReturnType<typeof fieldOf>>): void {
  const prototype =
    element instanceof HTMLInputElement
      ? HTMLInputElement.prototype
      : HTMLTextAreaElement.prototype;
  Object.getOwnPropertyDescriptor(prototype, 'value')?.set?.call(element, before);
  element.dispatchEvent(new Event('input', { bubbles: true }));
}
