/** Hands the microphone's samples over in pieces of about a fiftieth of a second. */
/* global AudioWorkletProcessor, registerProcessor */

const PIECE = 1024;

class Ear extends AudioWorkletProcessor {
  #piece = new Float32Array(PIECE);
  #filled = 0;

  process([[channel]]) {
    // No channel while the microphone has not begun; there is nothing to hand over then.
    for (const sample of channel ?? []) {
      this.#piece[this.#filled] = sample;
      this.#filled += 1;
      if (this.#filled < PIECE) continue;
      this.port.postMessage(this.#piece, [this.#piece.buffer]);
      this.#piece = new Float32Array(PIECE);
      this.#filled = 0;
    }
    return true;
  }
}

registerProcessor("ear", Ear);
