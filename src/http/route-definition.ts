import type { FastifyRequest } from 'fastify';
import type { z } from 'zod';
import type { TransactionOptions, Tx } from '../db/database.ts';
import type { Permission } from '../domain/permissions.ts';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Which permission the route needs; `public` needs none, `signed-in` any person. */
    permission?: Permission | 'signed-in' | 'public';
  }
}

export type Shape = z.ZodType;
export type Out<Schema> = Schema extends z.ZodType ? z.output<Schema> : undefined;

export interface RouteInput<Params, Query, Body> {
  readonly params: Out<Params>;
  readonly query: Out<Query>;
  readonly body: Out<Body>;
  /** Version named by If-Match; 0 on routes that are not `versioned`. */
  readonly version: number;
  /** The uploaded bytes of a route with `upload`. */
  readonly upload: Upload;
  readonly log: FastifyRequest['log'];
}

export interface Upload {
  readonly bytes: Buffer;
  readonly mediaType: string;
}

/** What a handler answers; `version` becomes the ETag, `location` the address of what was made. */
export interface Answer<Body> {
  readonly body: Body;
  readonly status?: 200 | 201 | 202;
  readonly location?: string;
  readonly version?: number;
  readonly headers?: Readonly<Record<string, string>>;
}

/** A file to download, or a page to look at and print. */
export interface FileAnswer {
  readonly content: Buffer | string;
  readonly mediaType: string;
  readonly fileName: string;
  /** A page for a browser: the hash of its one style sheet, the only thing that it may use. */
  readonly page?: { readonly styleHash: string } | undefined;
}

export interface Common<Params, Query, Body> extends TransactionOptions {
  readonly method: 'GET' | 'POST' | 'PATCH' | 'PUT' | 'DELETE';
  /** Path below `/v1`, parameters as `:name`. */
  readonly url: string;
  readonly operationId: string;
  readonly tag: string;
  readonly summary: string;
  readonly permission: Permission | 'signed-in';
  readonly params?: Params;
  readonly query?: Query;
  readonly body?: Body;
  /**
   * True for edits of documents: If-Match is required and its version handed on. `when-given`
   * where the document may not be there yet: without If-Match the version is 0.
   */
  readonly versioned?: boolean | 'when-given';
  /** Media types of a body that arrives as bytes, beside JSON when there is a `body`. */
  readonly upload?: readonly string[];
  readonly bodyLimitBytes?: number;
}

export interface Route<Params, Query, Body, Response extends Shape>
  extends Common<Params, Query, Body> {
  readonly response: Response;
  readonly status?: 200 | 201 | 202;
  /** What is kept for a repeated Idempotency-Key, where the answer holds a secret. */
  readonly withoutSecret?: (body: z.input<Response>) => z.input<Response>;
  handle(tx: Tx, input: RouteInput<Params, Query, Body>): Promise<Answer<z.input<Response>>>;
}

export interface Download<Params, Query> extends Common<Params, Query, undefined> {
  readonly mediaTypes: readonly string[];
  handle(tx: Tx, input: RouteInput<Params, Query, undefined>): Promise<FileAnswer>;
}

export interface Routes {
  route<
    Response extends Shape,
    Params extends Shape | undefined = undefined,
    Query extends Shape | undefined = undefined,
    Body extends Shape | undefined = undefined,
  >(definition: Route<Params, Query, Body, Response>): void;
  download<
    Params extends Shape | undefined = undefined,
    Query extends Shape | undefined = undefined,
  >(definition: Download<Params, Query>): void;
}
