/** How an outbox reaches the server. */
import { api, type Act, type ActResult } from '@rundlet/contracts';
import { base64 } from '@scure/base';
import type { Client } from './client.ts';

/** Bytes that an act names by their hash, as the platform holds them: a Blob does. */
export interface KeptBytes {
  readonly sha256: string;
  readonly bytes: { arrayBuffer(): Promise<ArrayBuffer> };
}

export interface Door {
  /** Sends acts in order; one result for each. @throws RefusedError, UnreachableError */
  readonly send: (acts: readonly Act[]) => Promise<readonly ActResult[]>;
  /** Hands in the bytes of an attachment, before the act that names them. @throws as `send` */
  readonly upload: (file: KeptBytes) => Promise<void>;
}

export const doorOf = (client: Client): Door => ({
  send: async (acts) =>
    (await client.call(api.journal.submitMany, { body: { acts: [...acts] } })).results,
  upload: async (file) => {
    await client.call(api.attachments.keep, {
      params: { hash: file.sha256 },
      body: { base64: await base64Of(file) },
    });
  },
});

export const base64Of = async ({ bytes }: KeptBytes): Promise<string> =>
  base64.encode(new Uint8Array(await bytes.arrayBuffer()));
