import { Link, useLocation } from 'wouter';
import { useMay } from '../data/session.tsx';
import { Icon } from '../kit/icon.tsx';
import { PLACES } from './places.ts';
import type { Screen } from './screen.ts';

type Listed = Screen & { menu: NonNullable<Screen['menu']> };

/** The pages that stand in the menu, by place, as far as the person may see them. */
export function useMenu(): { name: string; screens: Listed[] }[] {
  const may = useMay();
  return PLACES.map(({ name, screens }) => ({
    name,
    screens: screens.filter((s): s is Listed => s.menu !== undefined && (!s.role || may(s.role))),
  })).filter(({ screens }) => screens.length > 0);
}

export function Menu() {
  const [path] = useLocation();
  return useMenu().map(({ name, screens }) => (
    <div className="menu-group" key={name}>
      <h2>{name}</h2>
      {screens.map(({ path: to, menu }) => (
        <Link
          key={to}
          href={to}
          className="menu-item"
          aria-current={path === to || path.startsWith(`${to}/`) ? 'page' : undefined}
        >
          <Icon name={menu.icon} />
          {menu.label}
        </Link>
      ))}
    </div>
  ));
}
