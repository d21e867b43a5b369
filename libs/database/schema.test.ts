import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { get_dmmf } from '@prisma/prisma-schema-wasm';
import { onConnection } from '#tests/support/connection';
import { createTestDatabase, type TestDatabase } from '#tests/support/database';
import { readCatalogue, type CatalogueTable } from './catalogue';

/** What prisma/schema.prisma and the database must say alike, table by table. */
type Shape = {
  readonly columns: Readonly<Record<string, string>>;
  readonly primaryKey: string;
  readonly uniqueKeys: readonly string[];
  readonly foreignKeys: readonly string[];
};

/** Tables of schema public that have no model, with the reason. */
const notModelled: Readonly<Record<string, string>> = {
  _prisma_migrations: 'belongs to the Prisma command line, which keeps it out of schemas itself',
};

describe('prisma/schema.prisma', () => {
  let db: TestDatabase;
  let fromDatabase: Map<string, Shape>;
  let fromSchema: Map<string, Shape>;

  beforeAll(async () => {
    db = await createTestDatabase();
    const { tables } = await onConnection(db.urls.owner, readCatalogue);
    const ours = Object.entries(tables).flatMap(([name, table]) => {
      const [schema, bare = ''] = name.split('.');
      return schema === 'public' && notModelled[bare] === undefined ? [[bare, shapeOfTable(table)] as const] : [];
    });
    fromDatabase = new Map(ours);
    fromSchema = new Map(readModels().map((model) => [model.dbName ?? model.name, shapeOfModel(model)]));
  });
  afterAll(() => db.drop());

  it('has a model for every table, and no other', () => {
    expect([...fromSchema.keys()].sort()).toEqual([...fromDatabase.keys()].sort());
  });

  it('names its models in the singular, in Pascal case, after their tables', () => {
    const misnamed = readModels().filter((model) => snakeCase(model.name) !== model.dbName);
    expect(misnamed.map((model) => model.name)).toEqual([]);
  });

  it('agrees with the migrated database on every column, key and reference', () => {
    expect(Object.fromEntries(fromSchema)).toEqual(Object.fromEntries(fromDatabase));
  });
});

/** Column types of the database and what the schema must call them. */
const prismaTypes: Readonly<Record<string, string>> = {
  uuid: 'String Uuid',
  text: 'String',
  bigint: 'BigInt',
  'double precision': 'Float',
  integer: 'Int',
  smallint: 'Int SmallInt',
  boolean: 'Boolean',
  'numeric(12,9)': 'Decimal Decimal(12, 9)',
  date: 'DateTime Date',
  'timestamp with time zone': 'DateTime Timestamptz(6)',
  jsonb: 'Json',
  bytea: 'Bytes',
};

function shapeOfTable(table: CatalogueTable): Shape {
  // Quotes stand around names that are also words of SQL.
  const [constraints, indexes] = [table.constraints, table.indexes].map((named) => Object.values(named).map(withoutQuotes)) as [string[], string[]];
  return {
    columns: Object.fromEntries(Object.entries(table.columns).map(([name, definition]) => [name, columnOf(definition)])),
    primaryKey: constraints.flatMap((definition) => /^PRIMARY KEY \((.*)\)$/.exec(definition)?.[1] ?? [])[0] ?? '',
    uniqueKeys: [
      ...constraints.flatMap((definition) => /^UNIQUE \((.*)\)$/.exec(definition)?.[1] ?? []),
      // A partial key is unique among some rows only, which a Prisma schema cannot say.
      ...indexes.flatMap((definition) => /^CREATE UNIQUE INDEX \S+ ON \S+ USING btree \(([^()]*)\)$/.exec(definition)?.[1] ?? []),
    ].sort(),
    foreignKeys: constraints
      .flatMap((definition) => foreignKeyOf(definition) ?? [])
      // Left out of the schema on purpose; its first comment says why.
      .filter((key) => key !== '(tenant_id) -> operator (tenant_id)')
      .sort(),
  };
}

function withoutQuotes(definition: string): string {
  return definition.replaceAll('"', '');
}

function columnOf(definition: string): string {
  const [, type = '', list, notNull, hasDefault] = /^(.+?)(\[\])?( not null)?( default .*)?$/.exec(definition) ?? [];
  const digits = /^numeric\((\d+),(\d+)\)$/.exec(type);
  const prismaType = digits === null ? (prismaTypes[type] ?? type) : `Decimal Decimal(${digits[1]}, ${digits[2]})`;
  return `${prismaType}${list ?? ''}${notNull === undefined ? '?' : ''}${hasDefault === undefined ? '' : ' with default'}`;
}

function foreignKeyOf(definition: string): string | undefined {
  const [, columns, table, references] = /^FOREIGN KEY \((.*)\) REFERENCES public\.(\w+)\((.*)\)$/.exec(definition) ?? [];
  return table === undefined ? undefined : `(${columns}) -> ${table} (${references})`;
}

type Field = {
  readonly name: string;
  readonly dbName?: string;
  readonly kind: 'scalar' | 'object';
  readonly type: string;
  readonly nativeType: [string, string[]] | null;
  readonly isList: boolean;
  readonly isRequired: boolean;
  readonly isId: boolean;
  readonly isUnique: boolean;
  readonly hasDefaultValue: boolean;
  readonly relationFromFields?: readonly string[];
  readonly relationToFields?: readonly string[];
  readonly relationOnDelete?: string;
  readonly relationOnUpdate?: string;
};
type Model = {
  readonly name: string;
  readonly dbName: string | null;
  readonly fields: readonly Field[];
  readonly primaryKey: { readonly fields: readonly string[] } | null;
  readonly uniqueFields: readonly (readonly string[])[];
};

let models: readonly Model[] | undefined;

/** Read with the parser of the Prisma command line itself. */
function readModels(): readonly Model[] {
  if (models) return models;
  const file = join(__dirname, '..', '..', 'prisma', 'schema.prisma');
  const answer = get_dmmf(JSON.stringify({ prismaSchema: [['schema.prisma', readFileSync(file, 'utf8')]], noColor: true }));
  models = (JSON.parse(answer) as { datamodel: { models: Model[] } }).datamodel.models;
  return models;
}

function shapeOfModel(model: Model): Shape {
  const scalars = model.fields.filter((field) => field.kind === 'scalar');
  const column = (fieldName: string): string => columnNameOf(model, fieldName);
  const list = (fieldNames: readonly string[]): string => fieldNames.map(column).join(', ');
  return {
    columns: Object.fromEntries(scalars.map((field) => [field.dbName ?? field.name, typeOf(field)])),
    primaryKey: list(model.primaryKey?.fields ?? scalars.filter((field) => field.isId).map((field) => field.name)),
    uniqueKeys: [...model.uniqueFields.map(list), ...scalars.filter((field) => field.isUnique).map((field) => column(field.name))].sort(),
    foreignKeys: model.fields.flatMap((field) => referenceOf({ model, field }) ?? []).sort(),
  };
}

function typeOf(field: Field): string {
  const [native, parameters = []] = field.nativeType ?? [];
  const nativeType = native === undefined ? '' : ` ${native}${parameters.length > 0 ? `(${parameters.join(', ')})` : ''}`;
  return `${field.type}${nativeType}${field.isList ? '[]' : ''}${field.isRequired ? '' : '?'}${field.hasDefaultValue ? ' with default' : ''}`;
}

function referenceOf({ model, field }: { model: Model; field: Field }): string | undefined {
  if (field.kind !== 'object' || !field.relationFromFields?.length) return undefined;
  const target = readModels().find((candidate) => candidate.name === field.type);
  if (!target) throw new Error(`No model ${field.type}.`);
  // The database takes no action of its own; the client must not believe that it does.
  expect([field.relationOnDelete, field.relationOnUpdate]).toEqual(['NoAction', 'NoAction']);
  const from = field.relationFromFields.map((name) => columnNameOf(model, name)).join(', ');
  const to = (field.relationToFields ?? []).map((name) => columnNameOf(target, name)).join(', ');
  return `(${from}) -> ${target.dbName} (${to})`;
}

function columnNameOf(model: Model, fieldName: string): string {
  const field = model.fields.find((candidate) => candidate.name === fieldName);
  return field?.dbName ?? fieldName;
}

function snakeCase(name: string): string {
  return name.replaceAll(/(?<!^)([A-Z])/g, '_$1').toLowerCase();
}
