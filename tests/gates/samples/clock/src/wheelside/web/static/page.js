const clock = () => new Date(); /* its home: not found */
const started = Date.now(); // read
const clock = () => new Date(); // a second home: read
const age = clock().getTime() - performance.timeOrigin; // read
