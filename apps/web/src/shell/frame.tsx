import { useEffect, useRef, useState, type ReactNode } from 'react';
import { Link, useLocation } from 'wouter';
import { openAisle } from '../data/aisle.ts';
import { useSession } from '../data/session.tsx';
import { Icon } from '../kit/icon.tsx';
import { Button } from '../kit/button.tsx';
import { Dialog, Notice } from '../kit/surface.tsx';
import { AccountMenu } from './account-menu.tsx';
import { Brand } from './brand.tsx';
import { Menu, useMenu } from './menu.tsx';
import { placeOf } from './places.ts';
import { SendingState } from './sending-state.tsx';
import { takeNewVersion, useNewVersion } from './service-worker.ts';
import { Shortcuts } from './shortcuts.tsx';
import { useScansEverywhere } from './wedge.ts';
import './frame.css';

/** The page around every page: menus, the state of network and outbox, and keyboard help. */
export function Frame({ children }: { children: ReactNode }) {
  const [path] = useLocation();
  const main = useRef<HTMLElement>(null);
  const { estateName } = useSession();
  useScansEverywhere();
  useEffect(() => {
    void openAisle();
  }, []);

  // A new page: begin at its top, and let a screen reader begin there too.
  const first = useRef(true);
  useEffect(() => {
    if (first.current) {
      first.current = false;
      return;
    }
    scrollTo(0, 0);
    main.current?.focus({ preventScroll: true });
  }, [path]);

  return (
    <div className="frame" data-place={placeOf(path)}>
      <a className="skip" href="#content">
        Skip to the page
      </a>
      <nav className="frame-side" aria-label="Places">
        <Brand small />
        <Menu />
        <div className="side-foot">
          <Shortcuts />
        </div>
      </nav>
      <header className="frame-head">
        <div className="line">
          <Brand small />
          <span className="soft small">{estateName}</span>
        </div>
        <SendingState />
        <AccountMenu />
      </header>
      <main className="frame-main" id="content" ref={main} tabIndex={-1}>
        <NewVersion />
        {children}
      </main>
      <BottomBar />
    </div>
  );
}

function BottomBar() {
  const [path] = useLocation();
  const [open, setOpen] = useState(false);
  const bar = useMenu().flatMap(({ screens }) => screens.filter(({ menu }) => menu.bar));
  useEffect(() => {
    setOpen(false);
  }, [path]);
  return (
    <>
      <nav className="frame-bar" aria-label="Main places">
        {bar.map(({ path: to, menu }) => (
          <Link
            key={to}
            href={to}
            className="bar-item"
            aria-current={path.startsWith(to) ? 'page' : undefined}
          >
            <Icon name={menu.icon} />
            {menu.label}
          </Link>
        ))}
        <button
          type="button"
          className="bar-item"
          aria-expanded={open}
          onClick={() => {
            setOpen(true);
          }}
        >
          <Icon name="more" />
          More
        </button>
      </nav>
      <Dialog
        title="Everything"
        open={open}
        onClose={() => {
          setOpen(false);
        }}
      >
        <nav aria-label="All pages">
          <Menu />
        </nav>
      </Dialog>
    </>
  );
}

function NewVersion() {
  if (!useNewVersion()) return null;
  return (
    <Notice
      title="A newer version is ready"
      actions={<Button onClick={takeNewVersion}>Take it now</Button>}
    >
      It takes one reload; what waits to be sent stays.
    </Notice>
  );
}
