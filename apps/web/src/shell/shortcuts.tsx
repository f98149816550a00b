import { useEffect, useState } from 'react';
import { useLocation } from 'wouter';
import { Button } from '../kit/button.tsx';
import { CheckField } from '../kit/choice-fields.tsx';
import { Dialog } from '../kit/surface.tsx';
import { useMenu } from './menu.tsx';

/** A hand scanner types faster than this; its characters are no shortcuts. */
const SCANNER_MS = 60;
const CHORD_MS = 1500;
const OFF = 'rundlet-no-shortcuts';

const typing = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName));

/** Two-key shortcuts: `g` and a page's letter; `/` for the code field; `?` for this help. They can be switched off. */
export function Shortcuts() {
  const [open, setOpen] = useState(false);
  const [off, setOff] = useState(() => localStorage.getItem(OFF) !== null);
  const [, go] = useLocation();
  const menu = useMenu();

  useEffect(() => {
    if (off) return;
    let armedAt = -Infinity;
    let lastAt = -Infinity;
    const pressed = (event: KeyboardEvent): void => {
      const gap = event.timeStamp - lastAt;
      lastAt = event.timeStamp;
      if (typing(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
      if (gap < SCANNER_MS || document.querySelector('dialog[open]')) return;
      if (event.timeStamp - armedAt < CHORD_MS) {
        armedAt = -Infinity;
        const wanted = menu.flatMap((p) => p.screens).find((s) => s.menu.key === event.key);
        if (wanted) go(wanted.path);
      } else if (event.key === 'g') armedAt = event.timeStamp;
      else if (event.key === '?') setOpen(true);
      else if (event.key === '/') {
        const field = document.querySelector<HTMLElement>('[data-takes-scans], input[type=search]');
        if (field) {
          event.preventDefault();
          field.focus();
        }
      }
    };
    addEventListener('keydown', pressed);
    return () => {
      removeEventListener('keydown', pressed);
    };
  }, [off, menu, go]);

  return (
    <>
      <Button
        kind="quiet"
        onClick={() => {
          setOpen(true);
        }}
      >
        Keyboard <kbd>?</kbd>
      </Button>
      <Dialog
        title="Keyboard"
        open={open}
        onClose={() => {
          setOpen(false);
        }}
      >
        <table className="table">
          <tbody>
            {menu
              .flatMap(({ screens }) => screens)
              .map(
                ({ path, menu: { key, label } }) =>
                  key && (
                    <tr key={path}>
                      <td>
                        <kbd>g</kbd> <kbd>{key}</kbd>
                      </td>
                      <td>{label}</td>
                    </tr>
                  ),
              )}
            <tr>
              <td>
                <kbd>/</kbd>
              </td>
              <td>To the code or search field</td>
            </tr>
            <tr>
              <td>
                <kbd>?</kbd>
              </td>
              <td>This help</td>
            </tr>
          </tbody>
        </table>
        <p>A hand scanner works on every page: no field has to be chosen first.</p>
        <CheckField
          checked={!off}
          onChange={(on) => {
            if (on) localStorage.removeItem(OFF);
            else localStorage.setItem(OFF, '1');
            setOff(!on);
          }}
        >
          Shortcuts are on
        </CheckField>
      </Dialog>
    </>
  );
}
