/** Tables that aren't folded from the journal: the journal itself, who may sign in, readings, jobs. */
import {
  COUNT,
  DOCUMENT,
  FLAG,
  HASH,
  ID,
  INSTANT,
  nullable,
  primary,
  REAL,
  text,
} from './column-types.ts';
import { index, unique, type TableDeclaration } from './table.ts';

export const SYSTEM_TABLES = [
  {
    name: 'journal_entry',
    columns: {
      seq: primary(COUNT),
      id: ID,
      kind: text(40),
      happenedAt: INSTANT,
      receivedAt: INSTANT,
      actorId: text(60),
      deviceId: nullable(text(60)),
      body: DOCUMENT,
      outcome: DOCUMENT,
      subjects: DOCUMENT,
      previousHash: HASH,
      hash: HASH,
      reversesEntryId: nullable(ID),
    },
    indexes: [unique('id'), index('kind', 'seq'), index('reversesEntryId')],
  },
  {
    name: 'journal_subject',
    columns: { subject: primary(text(340)), seq: primary(COUNT) },
    indexes: [],
  },
  {
    name: 'entry_effect',
    columns: { entryId: primary(ID), effects: DOCUMENT },
    indexes: [],
  },
  {
    name: 'person',
    columns: {
      id: primary(ID),
      signInName: text(60),
      name: text(120),
      roles: text(200),
      passwordHash: text(200),
      disabled: FLAG,
      createdAt: INSTANT,
    },
    indexes: [unique('signInName')],
  },
  {
    name: 'second_step',
    columns: {
      personId: primary(ID),
      sealedSecret: text(200),
      confirmedAt: nullable(INSTANT),
      /** the last time step a code was taken of: each is good once */
      lastStep: COUNT,
      recoveryHashes: DOCUMENT,
    },
    indexes: [],
  },
  {
    name: 'session',
    columns: {
      tokenHash: primary(HASH),
      personId: ID,
      createdAt: INSTANT,
      lastSeenAt: INSTANT,
      expiresAt: INSTANT,
    },
    indexes: [index('personId'), index('expiresAt')],
  },
  {
    name: 'device_token',
    columns: {
      id: primary(ID),
      label: text(120),
      roles: text(200),
      secretHash: HASH,
      createdAt: INSTANT,
      createdBy: ID,
      lastUsedAt: nullable(INSTANT),
      revokedAt: nullable(INSTANT),
    },
    indexes: [unique('secretHash')],
  },
  {
    name: 'sign_in_attempt',
    columns: {
      id: primary(ID),
      signInName: text(60),
      address: text(64),
      at: INSTANT,
      succeeded: FLAG,
    },
    indexes: [index('signInName', 'at'), index('address', 'at')],
  },
  {
    name: 'one_time_token',
    columns: { purpose: primary(text(40)), tokenHash: HASH, createdAt: INSTANT },
    indexes: [],
  },
  {
    name: 'climate_reading',
    columns: {
      zoneId: primary(ID),
      at: primary(INSTANT),
      temperatureC: REAL,
      relativeHumidityPercent: REAL,
      importId: ID,
    },
    indexes: [index('importId')],
  },
  {
    name: 'calibration',
    columns: {
      id: primary(ID),
      madeAt: INSTANT,
      fillings: COUNT,
      regauges: COUNT,
      document: DOCUMENT,
    },
    indexes: [index('madeAt')],
  },
  {
    name: 'job',
    columns: {
      id: primary(ID),
      kind: text(40),
      status: text(24),
      progress: nullable(REAL),
      request: DOCUMENT,
      detail: DOCUMENT,
      result: nullable(DOCUMENT),
      error: nullable(DOCUMENT),
      createdBy: text(60),
      createdAt: INSTANT,
      startedAt: nullable(INSTANT),
      finishedAt: nullable(INSTANT),
      /** the run that does it: a server process has one id for each of its lives */
      runBy: nullable(ID),
      /** counted up while it is done; a count that stands still is a process that died */
      beat: nullable(COUNT),
      cancelAskedAt: nullable(INSTANT),
    },
    indexes: [index('kind', 'status', 'createdAt')],
  },
] as const satisfies readonly TableDeclaration[];
