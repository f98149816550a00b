import { Module, type DynamicModule } from '@nestjs/common';
import { DemoPeople } from './demo-people.ts';
import { Devices } from './devices.ts';
import { FirstAdministrator } from './first-administrator.ts';
import { Identify } from './identify.ts';
import { PASSWORD_COST, type PasswordCost } from './passwords.ts';
import { COST, People } from './people.ts';
import { SessionController } from './session.controller.ts';
import { Sessions } from './sessions.ts';
import { SecondStep } from './second-step.ts';
import { SignInLimits } from './sign-in-limits.ts';

@Module({
  controllers: [SessionController],
  providers: [
    People,
    SecondStep,
    Sessions,
    Devices,
    SignInLimits,
    FirstAdministrator,
    DemoPeople,
    Identify,
  ],
})
export class SessionModule {
  static with(passwordCost: PasswordCost = PASSWORD_COST): DynamicModule {
    return { module: SessionModule, providers: [{ provide: COST, useValue: passwordCost }] };
  }
}
