/** Version of the engine that every stored result carries; the same as the package's. */
export const ENGINE_VERSION = '0.1.0';
