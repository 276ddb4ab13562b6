//! Pictures for print: what the typesetter can draw, no larger than a printer can show.

use image::{DynamicImage, ImageFormat, ImageReader, Limits};

/// Longest side, in pixels, that print has a use for: 90 mm at 300 dots an inch, and some.
const LONGEST: u32 = 1200;
/// Memory that reading one picture may take: what a camera's largest takes.
const MOST: u64 = 512 * 1024 * 1024;

/// The bytes of a picture as the typesetter takes them, with the ending of their kind; `None` for what cannot be read.
///
/// A drawing stays one. A photograph larger than print has a use for is made smaller, so that a book of two hundred stays
/// small enough to send.
pub(super) fn ready(bytes: Vec<u8>) -> Option<(&'static str, Vec<u8>)> {
    let head = bytes.get(..bytes.len().min(1024)).unwrap_or_default();
    let text = String::from_utf8_lossy(head);
    if text.trim_start_matches('\u{feff}').trim_start().starts_with('<') {
        let options = resvg::usvg::Options::default();
        let sound = resvg::usvg::Tree::from_data(&bytes, &options).is_ok();
        return sound.then_some(("svg", bytes));
    }
    let mut reader = ImageReader::new(std::io::Cursor::new(&bytes)).with_guessed_format().ok()?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST);
    reader.limits(limits);
    let format = reader.format()?;
    let picture = reader.decode().ok()?;
    let small = picture.width() <= LONGEST && picture.height() <= LONGEST;
    match format {
        ImageFormat::Png if small => return Some(("png", bytes)),
        ImageFormat::Jpeg if small => return Some(("jpg", bytes)),
        _ => {}
    }
    let picture =
        if small { picture } else { picture.resize(LONGEST, LONGEST, image::imageops::FilterType::CatmullRom) };
    let mut out = std::io::Cursor::new(Vec::new());
    if matches!(format, ImageFormat::Jpeg) {
        let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, 85);
        DynamicImage::ImageRgb8(picture.to_rgb8()).write_with_encoder(encoder).ok()?;
        Some(("jpg", out.into_inner()))
    } else {
        picture.write_to(&mut out, ImageFormat::Png).ok()?;
        Some(("png", out.into_inner()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png(side: u32) -> Vec<u8> {
        let mut out = std::io::Cursor::new(Vec::new());
        DynamicImage::new_rgb8(side, side / 2).write_to(&mut out, ImageFormat::Png).expect("a picture");
        out.into_inner()
    }

    #[test]
    fn a_small_picture_stays_as_it_is() {
        let bytes = png(40);
        assert_eq!(ready(bytes.clone()), Some(("png", bytes)));
    }

    #[test]
    fn a_large_one_is_made_smaller() {
        let (_, bytes) = ready(png(2400)).expect("a picture");
        let made = image::load_from_memory(&bytes).expect("a picture");
        assert_eq!((made.width(), made.height()), (1200, 600));
    }

    #[test]
    fn what_is_no_picture_is_left_out() {
        assert_eq!(ready(b"GIF89a?".to_vec()), None);
        assert_eq!(ready(b"<svg".to_vec()), None);
        assert_eq!(ready(Vec::new()), None);
    }
}
