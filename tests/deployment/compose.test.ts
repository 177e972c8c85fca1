import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';

const compose = parse(readFileSync('docker-compose.yml', 'utf8'), { merge: true });
const dockerfile = readFileSync('Dockerfile', 'utf8');
const { db, migrate, api, worker } = compose.services;

const composeClient = spawnSync('docker', ['compose', 'version'], { encoding: 'utf8' });

describe('docker-compose.yml', () => {
  it('runs PostgreSQL 18 on a named volume and publishes no port of it', () => {
    expect(db.image).toMatch(/^postgres:18\b/);
    expect(Object.keys(compose.volumes)).toContain(db.volumes[0].split(':')[0]);
    expect(db.ports).toBeUndefined();
  });

  it('migrates once, before the API and the worker start', () => {
    expect(migrate.restart).toBe('no');
    expect(migrate.depends_on.db.condition).toBe('service_healthy');
    for (const service of [api, worker]) {
      expect(service.depends_on.migrate.condition).toBe('service_completed_successfully');
    }
  });

  it('lets the API be scaled: no fixed name, a range of ports, the worker apart', () => {
    expect(api.container_name).toBeUndefined();
    expect(api.ports[0]).toMatch(/3000-3009\}:3000$/);
    expect(api.environment.WORKER).toBe('apart');
  });

  it('runs without root, without capabilities and on a read-only file system', () => {
    for (const service of [migrate, api, worker]) {
      expect(service).toMatchObject({ user: 'node', read_only: true, cap_drop: ['ALL'] });
      expect(service.security_opt).toContain('no-new-privileges:true');
    }
    expect(dockerfile).toMatch(/^FROM node:24-/m);
    expect(dockerfile).toMatch(/^USER node$/m);
  });

  it('watches the health of everything that stays up', () => {
    for (const service of [db, api, worker]) expect(service.healthcheck.test[0]).toMatch(/^CMD/);
  });

  it('takes every secret from the environment and gives the owner’s to the migration alone', () => {
    const text = readFileSync('docker-compose.yml', 'utf8');
    for (const match of text.matchAll(/^ +\w*PASSWORD: *(\S.*)$/gm))
      expect(match[1]).toMatch(/^\$\{\w+:\?/);
    expect(JSON.stringify([api, worker])).not.toContain('POSTGRES_PASSWORD');
    expect(api.environment.DATABASE_URL).toContain('hoopwright_app:');
  });

  it(`is accepted by the compose client (${composeClient.status === 0 ? composeClient.stdout.trim() : 'not on this machine: parsed above only'})`, () => {
    const environment = { ...process.env, POSTGRES_PASSWORD: 'a', APP_ROLE_PASSWORD: 'b' };
    if (composeClient.status !== 0) {
      expect(compose.services).toHaveProperty('api');
      return;
    }
    const checked = spawnSync('docker', ['compose', 'config', '--quiet'], {
      encoding: 'utf8',
      env: environment,
    });
    expect(checked.stderr).toBe('');
    expect(checked.status).toBe(0);
  });
});
