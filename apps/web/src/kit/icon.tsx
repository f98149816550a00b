/** Line drawings on a 24 × 24 grid. They stand beside words, never instead of them, so they are hidden from screen readers. */
const PATHS = {
  scan: 'M4 8V4h4M20 8V4h-4M4 16v4h4M20 16v4h-4M8 8v8M11 8v8M13.5 8v8M16.5 8v8',
  cask: 'M7 4h10c2 5 2 11 0 16H7C5 15 5 9 7 4zM6 9h12M6 15h12',
  fill: 'M12 3v9M8.5 8.5 12 12l3.5-3.5M5 14v4a3 3 0 0 0 3 3h8a3 3 0 0 0 3-3v-4',
  label: 'M4 5h9l7 7-7 7H4zM8 12h.01',
  count: 'M9 5h11M9 12h11M9 19h11M4 5l1 1 2-2M4 12l1 1 2-2M4 19l1 1 2-2',
  vat: 'M5 5c0-1 3-2 7-2s7 1 7 2-3 2-7 2-7-1-7-2zM5 5v14c0 1 3 2 7 2s7-1 7-2V5M5 12c0 1 3 2 7 2s7-1 7-2',
  desk: 'M3 9h18M5 9v11M19 9v11M9 9v5h6V9M8 5h8',
  more: 'M5 12h.01M12 12h.01M19 12h.01',
  gauge: 'M4 17a8 8 0 1 1 16 0M12 17l4-6M4 17h16',
  move: 'M5 12h14M14 7l5 5-5 5',
  drop: 'M12 3c4 5 6 8 6 11a6 6 0 0 1-12 0c0-3 2-6 6-11z',
  note: 'M5 4h14v12l-4 4H5zM15 20v-4h4M9 9h6M9 13h4',
  eye: 'M2.5 12C5 7.5 8.3 5.5 12 5.500s7 2 9.5 6.500c-2.5 4.5-5.8 6.5-9.5 6.500S5 16.5 2.5 12zM12 9.500a2.5 2.5 0 1 1 0 5 2.5 2.5 0 0 1 0-5z',
  lock: 'M6 11h12v9H6zM8.5 11V8a3.5 3.5 0 0 1 7 0v3',
  sample: 'M10 3h4M11 3v6l-4 8a3 3 0 0 0 3 4h4a3 3 0 0 0 3-4l-4-8V3M8.5 15h7',
  swap: 'M4 8h14l-3-3M20 16H6l3 3',
  back: 'M19 12H5M10 7l-5 5 5 5',
  check: 'M5 13l4 4L19 7',
  cross: 'M6 6l12 12M18 6 6 18',
  warn: 'M12 4 3 20h18zM12 10v4M12 17h.01',
  info: 'M12 3a9 9 0 1 1 0 18 9 9 0 0 1 0-18zM12 11v5M12 8h.01',
  wait: 'M12 3a9 9 0 1 1 0 18 9 9 0 0 1 0-18zM12 7v5l3 2',
  send: 'M4 12 20 4l-5 16-3-6zM12 14l8-10',
  download: 'M12 4v11M7.5 11 12 15.5 16.5 11M5 20h14',
  camera: 'M4 8h4l2-3h4l2 3h4v11H4zM12 10.500a3 3 0 1 1 0 6 3 3 0 0 1 0-6z',
  torch: 'M8 3h8v4l-2 3v10h-4V10L8 7zM8 7h8',
  person: 'M12 4a4 4 0 1 1 0 8 4 4 0 0 1 0-8zM4 21c1-5 4-7 8-7s7 2 8 7',
  sun: 'M12 8a4 4 0 1 1 0 8 4 4 0 0 1 0-8zM12 2v2M12 20v2M2 12h2M20 12h2M5 5l1.5 1.500M17.5 17.5 19 19M5 19l1.5-1.500M17.5 6.5 19 5',
  undo: 'M9 14 4 9l5-5M4 9h10a6 6 0 0 1 0 12h-3',
  search: 'M11 4a7 7 0 1 1 0 14 7 7 0 0 1 0-14zM16 16l5 5',
  chart: 'M4 4v16h16M7 15l4-5 3 3 5-7',
  climate: 'M10 4a2 2 0 0 1 4 0v9a4 4 0 1 1-4 0zM12 8v9',
  blend: 'M5 3v5l7 6 7-6V3M12 14v7M8 21h8',
  thread: 'M6 4v4a4 4 0 0 0 4 4h4a4 4 0 0 1 4 4v4M6 8v12M4 4h4M4 20h4M16 20h4',
  book: 'M5 4h12a2 2 0 0 1 2 2v14H7a2 2 0 0 1-2-2zM5 17a2 2 0 0 1 2-2h12',
  gear: 'M12 9a3 3 0 1 1 0 6 3 3 0 0 1 0-6zM12 3v3M12 18v3M3 12h3M18 12h3M5.6 5.600l2.1 2.100M16.3 16.300l2.1 2.100M5.6 18.400l2.1-2.100M16.3 7.700l2.1-2.1',
  store: 'M3 10 12 4l9 6M5 9v11h14V9M9 20v-6h6v6',
} as const;
export type IconName = keyof typeof PATHS;

export function Icon({ name }: { name: IconName }) {
  return (
    <svg className="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={PATHS[name]} />
    </svg>
  );
}
