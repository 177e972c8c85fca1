import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startTestService, type TestService } from '../support/service.ts';

const run = promisify(execFile);

let service: TestService;

beforeAll(async () => {
  service = await startTestService();
});
afterAll(() => service.close());

interface Outcome {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs a compiled command, as `npm run` does, beside the running service. */
async function command(name: string, ...args: string[]): Promise<Outcome> {
  const program = fileURLToPath(new URL(`../../dist/src/cli/${name}.js`, import.meta.url));
  const env = {
    ...process.env,
    DATABASE_URL: service.database.ownerUrl,
  };
  try {
    return { code: 0, ...(await run(process.execPath, [program, ...args], { env })) };
  } catch (error) {
    const { code, stdout, stderr } = error as Outcome;
    return { code, stdout, stderr };
  }
}

const current = (token: string) =>
  service.http.get('/v1/sessions/current').set('authorization', `Bearer ${token}`);

describe('npm run token', () => {
  it('prints the token and nothing else', async () => {
    const person = await service.person(['integrator']);
    const { code, stdout, stderr } = await command('token', person.email);
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    expect(stdout).toMatch(/^hwt_[\w-]{43}\n$/);
    const { body } = await current(stdout.trim()).expect(200);
    expect(body.person.id).toBe(person.personId);
  });

  it('says on the other channel when nobody has that e-mail', async () => {
    expect(await command('token', 'nobody@example.org')).toEqual({
      code: 1,
      stdout: '',
      stderr: 'Nobody with the e-mail nobody@example.org may sign in.\n',
    });
    expect(await command('token')).toMatchObject({ code: 2, stdout: '' });
  });

  it('says what is wrong with the environment', async () => {
    const program = fileURLToPath(new URL('../../dist/src/cli/token.js', import.meta.url));
    const env = { ...process.env, DATABASE_URL: 'mysql://elsewhere' };
    const failed = run(process.execPath, [program, 'a@example.org'], { env });
    await expect(failed).rejects.toMatchObject({ code: 1, stdout: '' });
    await expect(failed).rejects.toMatchObject({ stderr: expect.stringContaining('DATABASE_URL') });
  });
});

describe('npm run organisation', () => {
  it('makes an organisation whose administrator can be let in', async () => {
    const made = await command(
      'organisation',
      'Invented Group',
      'boss@example.org',
      'Invented Boss',
    );
    expect(made).toMatchObject({ code: 0, stderr: '' });
    expect(made.stdout).toMatch(/^[\w-]{43}\n$/);
    const password = 'an administrator’s password';
    await service.http
      .post('/v1/invitation-acceptances')
      .send({ token: made.stdout.trim(), password })
      .expect(201);
    const session = await service.http
      .post('/v1/sessions')
      .send({ email: 'boss@example.org', password })
      .expect(201);
    expect(session.body).toMatchObject({
      person: { name: 'Invented Boss', roles: ['admin'] },
      organisation: { name: 'Invented Group' },
    });
  });

  it('names the argument that is not acceptable', async () => {
    const { code, stdout, stderr } = await command('organisation', 'Group', 'no address', 'Boss');
    expect({ code, stdout }).toEqual({ code: 1, stdout: '' });
    expect(stderr).toContain('email must be an e-mail address');
  });
});
