import { Global, Module, type DynamicModule, type OnApplicationShutdown } from '@nestjs/common';
import { APP_FILTER, APP_GUARD, APP_INTERCEPTOR } from '@nestjs/core';
import { CONNECTIONS, disconnect, type Connections } from '../database/data-source.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { AccessGuard } from './access.guard.ts';
import { Clock } from './clock.ts';
import { ContractInterceptor } from './contract.interceptor.ts';
import { DocumentationController } from './documentation.controller.ts';
import { HealthController } from './health.controller.ts';
import { Log } from './log.ts';
import { Metrics, MetricsController } from './metrics.ts';
import { ProblemFilter } from './problem.filter.ts';
import { SETTINGS, type Settings } from './settings.ts';

class Disconnecting implements OnApplicationShutdown {
  readonly #connections: Connections;
  readonly #work: UnitOfWork;
  constructor(connections: Connections, work: UnitOfWork) {
    this.#connections = connections;
    this.#work = work;
  }
  async onApplicationShutdown(): Promise<void> {
    await this.#work.settled();
    await disconnect(this.#connections);
  }
}

/** What every feature may ask for: settings, clock, log, the reading connection and the one door for writes. */
@Global()
@Module({})
export class PlatformModule {
  static with(given: {
    settings: Settings;
    connections: Connections;
    clock: Clock;
    log: Log;
  }): DynamicModule {
    const work = new UnitOfWork(given.connections);
    const reader = new Reader(given.connections.reader);
    const shared = [
      { provide: SETTINGS, useValue: given.settings },
      { provide: CONNECTIONS, useValue: given.connections },
      { provide: Clock, useValue: given.clock },
      { provide: Log, useValue: given.log },
      { provide: UnitOfWork, useValue: work },
      { provide: Reader, useValue: reader },
      { provide: Metrics, useValue: new Metrics(given.settings.metricsToken, reader) },
      { provide: Records, useValue: new Records(reader) },
    ];
    return {
      module: PlatformModule,
      controllers: [HealthController, MetricsController, DocumentationController],
      providers: [
        ...shared,
        { provide: Disconnecting, useValue: new Disconnecting(given.connections, work) },
        { provide: APP_FILTER, useClass: ProblemFilter },
        { provide: APP_GUARD, useClass: AccessGuard },
        { provide: APP_INTERCEPTOR, useClass: ContractInterceptor },
      ],
      exports: shared.map(({ provide }) => provide),
    };
  }
}
