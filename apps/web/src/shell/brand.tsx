/** The program's sign: a cask's head with its level. */
export function Brand({ small = false }: { small?: boolean }) {
  return (
    <span className="brand">
      <svg viewBox="0 0 64 64" width={small ? 28 : 40} height={small ? 28 : 40} aria-hidden="true">
        <path className="brand-level" d="M10 38a22 22 0 0 0 44 0z" />
        <path className="brand-line" d="M21 13v38M32 10v44M43 13v38" strokeWidth="2" />
        <circle className="brand-line" cx="32" cy="32" r="23" strokeWidth="4" />
      </svg>
      <span>Rundlet</span>
    </span>
  );
}
