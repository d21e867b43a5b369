import { defineConfig } from 'prisma/config';

// Read by the Prisma command line alone; the program migrates by itself (libs/database/migrate.ts).
export default defineConfig({
  schema: '../prisma/schema.prisma',
  migrations: { path: '../prisma/migrations' },
  datasource: { url: process.env.DATABASE_URL ?? 'postgresql://latchledger_owner@127.0.0.1:5432/latchledger' },
});
