import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { EXIT, Failure } from './failure.ts';

/** A file of the server's bundle, which lies beside this one's. @throws Failure when it has not been built */
export function serverFile(name: string): string {
  const file = fileURLToPath(new URL(`../../server/dist/${name}`, import.meta.url));
  if (!existsSync(file))
    throw new Failure(
      `The server has not been built: ${file} is missing. Run npm run build.`,
      EXIT.usage,
    );
  return file;
}
