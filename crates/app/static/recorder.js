// Takes the samples off the microphone, beside the page, and hands them on in pieces: one channel, the mean of all that
// there are. The audio clock counts them; nothing is kept here.
const PIECE = 2048;

class Recorder extends AudioWorkletProcessor {
  constructor() {
    super();
    this.piece = new Float32Array(PIECE);
    this.filled = 0;
  }

  process([channels]) {
    if (channels.length === 0) {
      // The microphone is gone: a gap would shift all that comes after it.
      this.port.postMessage(null);
      return false;
    }
    for (let at = 0; at < channels[0].length; at += 1) {
      let sum = 0;
      for (const channel of channels) {
        sum += channel[at];
      }
      this.piece[this.filled] = sum / channels.length;
      this.filled += 1;
      if (this.filled === PIECE) {
        this.port.postMessage(this.piece, [this.piece.buffer]);
        this.piece = new Float32Array(PIECE);
        this.filled = 0;
      }
    }
    return true;
  }
}

registerProcessor("lanewright-recorder", Recorder);
