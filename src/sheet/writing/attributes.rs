//! What hangs on a file besides its text: extended attributes, such as labels, and access lists.

use std::fs::File;
use std::io;

/// Gives a new file the attributes of the old one.
///
/// # Errors
///
/// The name of one that can't be carried over, and what the operating system says.
#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
pub(super) fn carry_over(old: &File, new: &File) -> Result<(), (String, io::Error)> {
    for name in names(old).map_err(|error| (String::new(), error))? {
        let name = name.as_slice();
        let failed = |error: io::Error| (String::from_utf8_lossy(name).into_owned(), error);
        let value = value(old, name).map_err(failed)?;
        let set = rustix::fs::fsetxattr(new, name, &value, rustix::fs::XattrFlags::empty());
        // What the system gives to files by itself may not be set by hand.
        if let Err(error) = set
            && !self::value(new, name).is_ok_and(|has| has == value)
        {
            return Err(failed(error.into()));
        }
    }
    Ok(())
}

#[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
pub(super) fn carry_over(_: &File, _: &File) -> Result<(), (String, io::Error)> {
    Ok(())
}

/// The names of all attributes; none on a disk without them.
#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
fn names(file: &File) -> io::Result<Vec<Vec<u8>>> {
    let mut list = match rustix::fs::flistxattr_query(file) {
        Ok(size) => vec![0; size],
        Err(rustix::io::Errno::NOTSUP | rustix::io::Errno::NOSYS) => vec![],
        Err(error) => return Err(error.into()),
    };
    let size = if list.is_empty() { 0 } else { rustix::fs::flistxattr(file, &mut list)? };
    list.truncate(size);
    let names = list.split(|byte| *byte == 0).filter(|name| !name.is_empty());
    Ok(names.map(<[u8]>::to_vec).collect())
}

#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
fn value(file: &File, name: &[u8]) -> io::Result<Vec<u8>> {
    let mut value = vec![0; rustix::fs::fgetxattr_query(file, name)?];
    let size = if value.is_empty() { 0 } else { rustix::fs::fgetxattr(file, name, &mut value)? };
    value.truncate(size);
    Ok(value)
}
