import { mkdirSync } from 'node:fs';
import { isAbsolute, join, resolve } from 'node:path';
import { z } from 'zod';

const flag = z
  .enum(['0', '1', 'true', 'false'], { error: 'must be 1 or 0' })
  .default('0')
  .transform((v) => v === '1' || v === 'true');
const optionalPath = z.string().min(1).optional();

const Environment = z.object({
  RUNDLET_DATA: z.string().min(1).default('.rundlet'),
  DATABASE_URL: z
    .string()
    .regex(/^(sqlite:|postgres(ql)?:\/\/)/, 'must begin with sqlite: or postgres://')
    .optional(),
  HOST: z.string().min(1).default('127.0.0.1'),
  PORT: z.coerce
    .number({ error: 'must be a number' })
    .int('must be a whole number')
    .min(0, 'must be at least 0')
    .max(65_535, 'must be at most 65535')
    .default(3000),
  RUNDLET_ORIGIN: z
    .string()
    .regex(
      /^https?:\/\/[^/?#\s]+\/?$/,
      'must be scheme and host, like https://casks.harrowpoint.example',
    )
    .optional(),
  RUNDLET_ESTATE_NAME: z.string().trim().min(1).max(120).optional(),
  RUNDLET_COMPANY_PREFIX: z
    .string()
    .regex(/^\d{4,12}$/, 'must be the 4 to 12 digits that GS1 gave the estate')
    .optional(),
  RUNDLET_TLS_CERT: optionalPath,
  RUNDLET_TLS_KEY: optionalPath,
  RUNDLET_DEMO: flag,
  /** Proxies in front of the server whose X-Forwarded-For is believed. */
  RUNDLET_PROXIES: z.coerce.number({ error: 'must be a number' }).int().min(0).max(10).default(0),
  RUNDLET_LOG: z.enum(['info', 'warn', 'error', 'silent']).default('info'),
  RUNDLET_WEB: optionalPath,
  RUNDLET_METRICS_TOKEN: z.string().min(16, 'must be at least 16 characters').optional(),
});

/** Variables whose value no message repeats. */
const SECRET = new Set(['RUNDLET_METRICS_TOKEN', 'DATABASE_URL']);

export interface Settings {
  /** Folder that holds everything the program keeps. */
  readonly dataFolder: string;
  readonly databaseUrl: string;
  readonly host: string;
  readonly port: number;
  /** The address people and printed labels use; null until the port is known. */
  readonly origin: string | null;
  readonly estateName: string;
  readonly companyPrefix: string | null;
  readonly tls: { readonly certificateFile: string; readonly keyFile: string } | null;
  readonly demo: boolean;
  readonly proxies: number;
  readonly log: 'info' | 'warn' | 'error' | 'silent';
  /** Folder of the built web app. */
  readonly webFolder: string;
  /** What /metrics asks for; null: it is not served. */
  readonly metricsToken: string | null;
}

/** The settings were wrong; the message says which and how to put them right. */
export class SettingsError extends Error {
  override readonly name = 'SettingsError';
}

/** Reads and checks the environment. @throws SettingsError naming every variable that is wrong */
export function settingsFrom(
  environment: Readonly<Record<string, string | undefined>>,
  defaults: { webFolder: string },
): Settings {
  const given = Object.fromEntries(
    Object.entries(environment).filter(([, value]) => value !== undefined && value !== ''),
  );
  const parsed = Environment.safeParse(given);
  if (!parsed.success)
    throw new SettingsError(
      parsed.error.issues
        .map(
          ({ path, message }) =>
            `${String(path[0])} ${message}${SECRET.has(String(path[0])) ? '' : `; it is "${given[String(path[0])] ?? ''}"`}.`,
        )
        .join('\n'),
    );
  const e = parsed.data;
  if ((e.RUNDLET_TLS_CERT === undefined) !== (e.RUNDLET_TLS_KEY === undefined))
    throw new SettingsError(
      'RUNDLET_TLS_CERT and RUNDLET_TLS_KEY belong together: set both or none.',
    );
  const dataFolder = resolve(e.RUNDLET_DATA);
  return {
    dataFolder,
    databaseUrl: databaseUrl(e.DATABASE_URL, dataFolder),
    host: e.HOST,
    port: e.PORT,
    origin: e.RUNDLET_ORIGIN?.replace(/\/$/, '') ?? null,
    estateName: e.RUNDLET_ESTATE_NAME ?? (e.RUNDLET_DEMO ? 'Harrow Point' : 'The estate'),
    companyPrefix: e.RUNDLET_COMPANY_PREFIX ?? null,
    tls:
      e.RUNDLET_TLS_CERT && e.RUNDLET_TLS_KEY
        ? { certificateFile: e.RUNDLET_TLS_CERT, keyFile: e.RUNDLET_TLS_KEY }
        : null,
    demo: e.RUNDLET_DEMO,
    proxies: e.RUNDLET_PROXIES,
    log: e.RUNDLET_LOG,
    webFolder: resolve(e.RUNDLET_WEB ?? defaults.webFolder),
    metricsToken: e.RUNDLET_METRICS_TOKEN ?? null,
  };
}

/** Folder of the data directory, made if it is missing, for its owner's eyes only. */
export function makeDataFolder(settings: Settings): void {
  mkdirSync(settings.dataFolder, { recursive: true, mode: 0o700 });
}

function databaseUrl(given: string | undefined, dataFolder: string): string {
  if (given === undefined) return `sqlite:${join(dataFolder, 'rundlet.sqlite')}`;
  const file = /^sqlite:(?:\/\/)?(.+)$/.exec(given)?.[1];
  if (file === undefined || file === ':memory:' || isAbsolute(file)) return given;
  return `sqlite:${resolve(file)}`;
}

/** Injection token of the settings. */
export const SETTINGS = Symbol('settings');

/** The address people and labels use; without one of its own, the one the server listens at. */
export function originOf({ origin, tls, host, port }: Settings): string {
  if (origin !== null) return origin;
  const name = host === '0.0.0.0' || host === '::' ? 'localhost' : host;
  return `${tls ? 'https' : 'http'}://${name.includes(':') ? `[${name}]` : name}:${String(port)}`;
}
