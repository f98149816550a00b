import { readFileSync } from 'node:fs';
import { constants } from 'node:zlib';
import { NestFactory } from '@nestjs/core';
import type { NestExpressApplication } from '@nestjs/platform-express';
import compression from 'compression';
import cookieParser from 'cookie-parser';
import { AppModule } from './app.module.ts';
import { connect } from './database/data-source.ts';
import { authorityFile } from './platform/authority-file.ts';
import { parseBodies } from './platform/body-limits.ts';
import { Clock } from './platform/clock.ts';
import { Log, logRequests } from './platform/log.ts';
import { Metrics } from './platform/metrics.ts';
import { furtherHeaders, mayCompress, securityHeaders } from './platform/security.ts';
import type { Settings } from './platform/settings.ts';
import { webApp } from './platform/web-app.ts';
import { Identify } from './session/identify.ts';
import type { PasswordCost } from './session/passwords.ts';

/** The hardest pressing takes several times the processor for a tenth of the length. */
const QUICK = {
  level: constants.Z_BEST_SPEED,
  brotli: { params: { [constants.BROTLI_PARAM_QUALITY]: 1 } },
};

/** The whole server on its database, not yet listening. A test may set its clock and hash passwords cheaply. */
export async function createApp(
  settings: Settings,
  { clock = new Clock(), passwordCost }: { clock?: Clock; passwordCost?: PasswordCost } = {},
): Promise<NestExpressApplication> {
  const log = new Log(settings.log, (line) => process.stdout.write(`${line}\n`));
  const connections = await connect(settings.databaseUrl);
  const { tls } = settings;
  const app = await NestFactory.create<NestExpressApplication>(
    AppModule.with({ settings, connections, clock, log, passwordCost }),
    {
      logger: log,
      bodyParser: false,
      abortOnError: false,
      ...(tls
        ? {
            httpsOptions: {
              cert: readFileSync(tls.certificateFile),
              key: readFileSync(tls.keyFile),
            },
          }
        : {}),
    },
  );
  app.set('trust proxy', settings.proxies);
  app.set('query parser', 'simple');
  app.disable('x-powered-by');
  // An answer that nobody may keep needs no mark of its version.
  app.disable('etag');
  app.use(
    logRequests(log),
    app.get(Metrics).middleware,
    securityHeaders(tls !== null || settings.origin?.startsWith('https:') === true),
    furtherHeaders,
    compression({ filter: mayCompress, ...QUICK }),
    authorityFile(settings.dataFolder),
    webApp(settings.webFolder),
    cookieParser(),
    app.get(Identify).middleware,
    parseBodies,
  );
  return app;
}
