import { CaskQuery } from '@rundlet/contracts';
import { useSearch, useLocation } from 'wouter';

/** The stock list's filters, kept in the page's address so that a list can be bookmarked, shared and gone back to. */
export function useStockQuery(): {
  query: CaskQuery;
  change: (more: Partial<Record<keyof CaskQuery, string | number | undefined>>) => void;
} {
  const search = useSearch();
  const [, navigate] = useLocation();
  const given = Object.fromEntries(new URLSearchParams(search));
  const parsed = CaskQuery.safeParse(given);
  // An address somebody mangled shows the whole stock rather than nothing.
  const query = parsed.success ? parsed.data : CaskQuery.parse({});
  return {
    query,
    change: (more) => {
      const next = new URLSearchParams(search);
      for (const [name, value] of Object.entries(more)) {
        if (value === undefined || value === '') next.delete(name);
        else next.set(name, String(value));
      }
      navigate(`/stock${next.size > 0 ? `?${next.toString()}` : ''}`, { replace: true });
    },
  };
}
