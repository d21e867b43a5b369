import type { Type } from '@nestjs/common';
import { AccountController } from './account/account-controller';
import { AgreementController } from './agreements/agreement-controller';
import { ApiTokenController } from './api-tokens/api-token-controller';
import { AuditTrailController } from './audit-trail/audit-trail-controller';
import { CollectionController } from './collections/collection-controller';
import { GameController } from './games/game-controller';
import { HealthController } from './health/health-controller';
import { ImportController } from './imports/import-controller';
import { InstallationController } from './installations/installation-controller';
import { LinkController } from './links/link-controller';
import { MachineController } from './machines/machine-controller';
import { MemberController } from './members/member-controller';
import { OperatorController } from './operator/operator-controller';
import { PartyController } from './parties/party-controller';
import { PersonController } from './people/person-controller';
import { PlacementController } from './placements/placement-controller';
import { SignInController } from './sign-in/sign-in-controller';
import { SiteController } from './sites/site-controller';
import { TaxAreaController } from './tax-areas/tax-area-controller';

/** Every resource of the API. A new one is added here; its routes, documents and access tests follow from it. */
export const controllers: readonly Type<object>[] = [
  HealthController,
  SignInController,
  AccountController,
  LinkController,
  OperatorController,
  MemberController,
  ApiTokenController,
  AuditTrailController,
  SiteController,
  PartyController,
  PersonController,
  MachineController,
  GameController,
  PlacementController,
  InstallationController,
  TaxAreaController,
  AgreementController,
  CollectionController,
  ImportController,
];
