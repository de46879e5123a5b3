//! Sound files for tests: what a recorder writes, and what Chromium takes for its microphone
//! (`--use-fake-device-for-media-stream --use-file-for-fake-audio-capture=FILE`).

/// A WAV file of one channel in 16 bits (RIFF, linear PCM). Samples beyond -1 to 1 are cut off.
#[must_use]
pub fn mono_16(samples: &[f32], sample_rate: u32) -> Vec<u8> {
    let size = u32::try_from(2 * samples.len()).unwrap_or(u32::MAX - 36);
    let mut file = Vec::with_capacity(44 + 2 * samples.len());
    file.extend(b"RIFF");
    file.extend((36 + size).to_le_bytes());
    file.extend(b"WAVEfmt ");
    file.extend(16u32.to_le_bytes());
    // Linear PCM, one channel.
    file.extend(1u16.to_le_bytes());
    file.extend(1u16.to_le_bytes());
    file.extend(sample_rate.to_le_bytes());
    file.extend((2 * sample_rate).to_le_bytes());
    file.extend(2u16.to_le_bytes());
    file.extend(16u16.to_le_bytes());
    file.extend(b"data");
    file.extend(size.to_le_bytes());
    for sample in samples {
        #[allow(clippy::cast_possible_truncation)] // held to the range just before
        let step = (f64::from(*sample).clamp(-1.0, 1.0) * 32_767.0).round() as i16;
        file.extend(step.to_le_bytes());
    }
    file
}

/// The samples and the rate of a file as [`mono_16`] writes it; none for any other.
#[must_use]
pub fn read_mono_16(file: &[u8]) -> Option<(Vec<f32>, u32)> {
    let format: &[u8] = &[16, 0, 0, 0, 1, 0, 1, 0];
    let fits = file.get(..4)? == b"RIFF"
        && file.get(8..16)? == b"WAVEfmt "
        && file.get(16..24)? == format
        && file.get(36..40)? == b"data";
    let rate = u32::from_le_bytes(file.get(24..28)?.try_into().ok()?);
    let samples = file.get(44..)?.chunks_exact(2);
    let samples = samples.map(|pair| f32::from(i16::from_le_bytes([pair[0], pair[1]])) / 32_767.0);
    fits.then(|| (samples.collect(), rate))
}
