//! Pictures of recipes: each in several widths, made here, so that a phone does not load what a desk shows.
//!
//! What comes out has no metadata: a photograph does not tell where it was taken.

use std::collections::BTreeMap;
use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType as PngFilter, PngEncoder};
use image::imageops::FilterType;
use image::{DynamicImage, ExtendedColorType, ImageDecoder, ImageEncoder, ImageReader};
use rayon::prelude::*;

use crate::notebook::Notes;
use crate::notebook::walk::Asset;
use crate::press::{Content, Output};
use crate::problem::{Problem, code};
use crate::source::Span;

/// Widths that are made, in pixels: a phone, a phone of three pixels to one, a desk of two.
const WIDTHS: &[u32] = &[400, 800, 1200, 1600];
/// JPEG quality, 1 to 100: common practice, no source.
const QUALITY: u8 = 80;
/// Most that one picture may decode to, bytes: 100 million pixels of four bytes.
const MOST_BYTES: u64 = 400_000_000;

/// Shapes that pages elsewhere show a picture in, and the parts of their width and height: those of Google Search Central's example for
/// recipes. Structured data names one of each.
const SHAPES: &[(&str, u32, u32)] = &[("1x1", 1, 1), ("4x3", 4, 3), ("16x9", 16, 9)];
/// Most that a picture in such a shape is wide, in pixels.
const WIDEST_CROP: u32 = 1200;
/// The folder of these pictures begins so.
pub(super) const CROPS: &str = "media/crop-";

/// Paths on the site of a picture cut to the shapes that pages elsewhere show; none of a drawing or of what may move.
pub(in crate::press) fn crops(file: &str) -> Vec<String> {
    let ending = file.rsplit('.').next().unwrap_or("").to_lowercase();
    let photo = ending == "jpg" || ending == "jpeg";
    if !photo && ending != "png" && ending != "webp" {
        return Vec::new();
    }
    let behind = if photo { "" } else { ".jpg" };
    SHAPES.iter().map(|(shape, ..)| format!("{CROPS}{shape}/{file}{behind}")).collect()
}

/// The middle of a picture in each of the shapes, as JPEG; what shines through becomes white.
///
/// # Errors
/// A picture that cannot be encoded.
fn cut(image: &DynamicImage) -> image::ImageResult<Vec<Vec<u8>>> {
    let cut = SHAPES.iter().map(|(_, across, down)| {
        let unit = (image.width() / across).min(image.height() / down).max(1);
        let (width, height) = ((unit * across).min(image.width()), (unit * down).min(image.height()));
        let part = image.crop_imm((image.width() - width) / 2, (image.height() - height) / 2, width, height);
        let part = if width > WIDEST_CROP {
            part.resize_exact(WIDEST_CROP, WIDEST_CROP * down / across, FilterType::CatmullRom)
        } else {
            part
        };
        let mut ground = image::RgbaImage::from_pixel(part.width(), part.height(), image::Rgba([255; 4]));
        image::imageops::overlay(&mut ground, &part.to_rgba8(), 0, 0);
        let rgb = DynamicImage::ImageRgba8(ground).to_rgb8();
        let mut out = Vec::new();
        let encoder = JpegEncoder::new_with_quality(&mut out, QUALITY);
        encoder.write_image(rgb.as_raw(), rgb.width(), rgb.height(), ExtendedColorType::Rgb8)?;
        Ok(out)
    });
    cut.collect()
}

/// One picture in its widths.
#[derive(Debug, Clone)]
pub(super) struct Picture {
    /// Width and height of the largest.
    pub(super) size: (u32, u32),
    /// Path on the site and width, smallest first. The last is what a reader without a choice gets.
    pub(super) variants: Vec<(String, u32)>,
}

/// The pictures that some recipes name, by their path below `media/`, and the files of the site that hold them; with those cut to the
/// shapes for pages elsewhere where the site is public.
///
/// # Errors
/// A picture that cannot be read or decoded, at the place that names it.
pub(super) fn pictures(
    notes: &Notes,
    named: &BTreeMap<String, Span>,
    public: bool,
) -> Result<(BTreeMap<String, Picture>, Output), Vec<Problem>> {
    let wanted: Vec<(&Asset, Span)> =
        notes.media.iter().filter_map(|a| named.get(&a.path).map(|span| (a, *span))).collect();
    let made: Vec<Result<Made, Box<Problem>>> =
        wanted.par_iter().map(|(asset, span)| make(notes, asset, *span, public)).collect();
    let (mut pictures, mut output, mut problems) = (BTreeMap::new(), Output::new(), Vec::new());
    for result in made {
        match result {
            Ok((path, picture, files)) => {
                pictures.insert(path, picture);
                output.extend(files);
            }
            Err(problem) => problems.push(*problem),
        }
    }
    if problems.is_empty() { Ok((pictures, output)) } else { Err(problems) }
}

type Made = (String, Picture, Vec<(String, Content)>);

fn make(notes: &Notes, asset: &Asset, span: Span, public: bool) -> Result<Made, Box<Problem>> {
    let original = format!("media/{}", asset.path);
    let ending = asset.path.rsplit('.').next().unwrap_or("").to_lowercase();
    let copied = |size: (u32, u32)| {
        let picture = Picture { size, variants: vec![(original.clone(), size.0)] };
        (asset.path.clone(), picture, vec![(original.clone(), Content::Copy(asset.on_disk.clone()))])
    };
    if !["jpg", "jpeg", "png", "webp", "gif"].contains(&ending.as_str()) {
        // A drawing has every size; of what cannot be decoded here, only the shape may be known.
        let (w, h) = asset.pixels.unwrap_or((1200, 900));
        return Ok(copied((u32::try_from(w).unwrap_or(1200), u32::try_from(h).unwrap_or(900))));
    }
    let refuse = |words: String| {
        Box::new(
            Problem::new(code::UNREADABLE_FILE, span, format!("this picture cannot be read: {words}"))
                .help("save it again as JPEG or PNG"),
        )
    };
    let bytes = asset.read().map_err(|e| refuse(e.to_string()))?;
    if ending == "gif" {
        // One that moves would stand still.
        let (w, h) = asset.pixels.ok_or_else(|| refuse("it is not a GIF".into()))?;
        return Ok(copied((u32::try_from(w).unwrap_or(1200), u32::try_from(h).unwrap_or(900))));
    }
    let image = decode(&bytes).map_err(|e| refuse(e.to_string()))?;
    let photo = ending == "jpg" || ending == "jpeg";
    let full = image.width();
    let mut widths: Vec<u32> = WIDTHS.iter().copied().filter(|w| *w < full).collect();
    widths.push(full.min(WIDTHS[WIDTHS.len() - 1]));
    widths.dedup();
    let mut variants: Vec<(String, u32)> = Vec::new();
    let mut files: Vec<(String, Content)> = Vec::new();
    let mut size = (0, 0);
    let mut smallest = usize::MAX;
    // From the largest down: a smaller picture that weighs more than a larger one helps nobody.
    for width in widths.into_iter().rev() {
        let largest = variants.is_empty();
        let (path, bytes, height) = if largest && width == full && !photo {
            (original.clone(), bytes.clone(), image.height())
        } else {
            let height = (u64::from(image.height()) * u64::from(width) / u64::from(full.max(1))).max(1) as u32;
            let small =
                if width == full { image.clone() } else { image.resize_exact(width, height, FilterType::CatmullRom) };
            let (bytes, ending) = encode(&small, photo).map_err(|e| refuse(e.to_string()))?;
            let stem = asset.path.rsplit_once('.').map_or(asset.path.as_str(), |(stem, _)| stem);
            let path = if largest && photo { original.clone() } else { format!("media/w{width}/{stem}.{ending}") };
            (path, bytes, height)
        };
        let taken = !largest && notes.media.iter().any(|a| format!("media/{}", a.path) == path);
        if bytes.len() >= smallest || taken {
            continue;
        }
        smallest = bytes.len();
        if largest {
            size = (width, height);
        }
        variants.push((path.clone(), width));
        files.push((path, Content::Bytes(bytes)));
    }
    variants.reverse();
    if public {
        let cuts = cut(&image).map_err(|e| refuse(e.to_string()))?;
        files.extend(crops(&asset.path).into_iter().zip(cuts.into_iter().map(Content::Bytes)));
    }
    Ok((asset.path.clone(), Picture { size, variants }, files))
}

/// The pixels the right way up.
pub(in crate::press) fn decode(bytes: &[u8]) -> image::ImageResult<DynamicImage> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format()?;
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(MOST_BYTES);
    reader.limits(limits);
    let mut decoder = reader.into_decoder()?;
    let orientation = decoder.orientation()?;
    let mut image = DynamicImage::from_decoder(decoder)?;
    image.apply_orientation(orientation);
    Ok(image)
}

/// A photograph as JPEG; a drawing as PNG, or as JPEG where that is smaller and nothing shines through.
fn encode(image: &DynamicImage, photo: bool) -> image::ImageResult<(Vec<u8>, &'static str)> {
    let (width, height) = (image.width(), image.height());
    let rgba = image.to_rgba8();
    let opaque = photo || !image.color().has_alpha() || rgba.as_raw().iter().skip(3).step_by(4).all(|a| *a == 255);
    let rgb = image.to_rgb8();
    let jpeg = || -> image::ImageResult<Vec<u8>> {
        let mut out = Vec::new();
        JpegEncoder::new_with_quality(&mut out, QUALITY).encode(
            rgb.as_raw(),
            width,
            height,
            ExtendedColorType::Rgb8,
        )?;
        Ok(out)
    };
    if photo {
        return Ok((jpeg()?, "jpg"));
    }
    let mut png = Vec::new();
    let encoder = PngEncoder::new_with_quality(&mut png, CompressionType::Default, PngFilter::Adaptive);
    if opaque {
        encoder.write_image(rgb.as_raw(), width, height, ExtendedColorType::Rgb8)?;
        let jpeg = jpeg()?;
        return Ok(if jpeg.len() < png.len() { (jpeg, "jpg") } else { (png, "png") });
    }
    encoder.write_image(rgba.as_raw(), width, height, ExtendedColorType::Rgba8)?;
    Ok((png, "png"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo(width: u32, height: u32) -> Vec<u8> {
        let pixels = image::RgbImage::from_fn(width, height, |x, y| {
            image::Rgb([(x % 251) as u8, (y % 241) as u8, ((x * y) % 239) as u8])
        });
        let mut out = Vec::new();
        JpegEncoder::new_with_quality(&mut out, 90).encode_image(&pixels).unwrap();
        out
    }

    fn asset(folder: &std::path::Path, name: &str, bytes: &[u8]) -> Asset {
        std::fs::write(folder.join(name), bytes).unwrap();
        let size = imagesize::blob_size(bytes).ok().map(|s| (s.width, s.height));
        Asset { path: name.into(), on_disk: folder.join(name), pixels: size, bytes: Vec::new(), file: None }
    }

    #[test]
    fn a_photograph_comes_in_widths_below_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let (mut notes, _) = crate::notebook::read(folder.path());
        let asset = asset(folder.path(), "a.jpg", &photo(1000, 500));
        notes.media.push(asset);
        let named = BTreeMap::from([("a.jpg".to_owned(), notes.house.span)]);
        let (pictures, files) = super::pictures(&notes, &named, false).unwrap();
        let picture = &pictures["a.jpg"];
        assert_eq!(picture.size, (1000, 500));
        let paths: Vec<(&str, u32)> = picture.variants.iter().map(|(p, w)| (p.as_str(), *w)).collect();
        assert_eq!(paths, [("media/w400/a.jpg", 400), ("media/w800/a.jpg", 800), ("media/a.jpg", 1000)]);
        for (path, width) in paths {
            let Content::Bytes(bytes) = &files[path] else { panic!("{path} is a copy") };
            assert_eq!(imagesize::blob_size(bytes).unwrap().width, width as usize);
        }
        let again = super::pictures(&notes, &named, false).unwrap().1;
        assert_eq!(files, again);
    }

    #[test]
    fn pages_elsewhere_find_a_picture_in_three_shapes() {
        for (width, height) in [(1000, 500), (500, 1000), (2400, 1600), (3, 2), (1, 1)] {
            let folder = tempfile::tempdir().unwrap();
            let (mut notes, _) = crate::notebook::read(folder.path());
            let asset = asset(folder.path(), "a.jpg", &photo(width, height));
            notes.media.push(asset);
            let named = BTreeMap::from([("a.jpg".to_owned(), notes.house.span)]);
            let files = super::pictures(&notes, &named, true).unwrap().1;
            for (path, (_, across, down)) in crops("a.jpg").iter().zip(SHAPES) {
                let Content::Bytes(bytes) = &files[path] else { panic!("{path} is a copy") };
                let size = imagesize::blob_size(bytes).unwrap();
                let whole = |n: u32| n as usize;
                assert!(size.width <= whole(width.min(WIDEST_CROP)) && size.height <= whole(height), "{path} {size:?}");
                if width > 400 {
                    assert_eq!(size.width * whole(*down), size.height * whole(*across), "{path}");
                }
            }
        }
        assert_eq!(crops("cups/B.PNG")[2], "media/crop-16x9/cups/B.PNG.jpg");
        assert!(crops("a.svg").is_empty() && crops("a.gif").is_empty());
    }

    #[test]
    fn a_drawing_is_copied_and_what_is_no_picture_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let (mut notes, _) = crate::notebook::read(folder.path());
        notes.media.push(asset(folder.path(), "a.svg", b"<svg/>"));
        notes.media.push(asset(folder.path(), "b.png", b"no picture"));
        let at = notes.house.span;
        let (pictures, files) = super::pictures(&notes, &BTreeMap::from([("a.svg".to_owned(), at)]), true).unwrap();
        assert_eq!(pictures["a.svg"].variants.len(), 1);
        assert!(matches!(files["media/a.svg"], Content::Copy(_)));
        let problems = super::pictures(&notes, &BTreeMap::from([("b.png".to_owned(), at)]), true).unwrap_err();
        assert_eq!((problems.len(), problems[0].at.span), (1, at));
    }
}
