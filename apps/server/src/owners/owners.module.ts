import { Module } from '@nestjs/common';
import { ReportsModule } from '../reports/reports.module.ts';
import { OwnersController } from './owners.controller.ts';
import { Statements } from './statements.ts';

@Module({ imports: [ReportsModule], controllers: [OwnersController], providers: [Statements] })
export class OwnersModule {}
