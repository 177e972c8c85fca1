/** Ends the process with one sentence when this Node.js is older than package.json allows. */
const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
if (major < 20 || (major === 20 && minor < 19)) {
  console.error(`Node.js 20.19 or newer is needed, and this is ${process.versions.node}.`);
  process.exit(1);
}
