//! The desktop's own file dialogs.
//!
//! None from a dialog may mean that it was cancelled or that this desktop has no such service:
//! the two cannot be told apart, so the path can always be typed as well.

use std::future::Future;
use std::path::{Path, PathBuf};
use std::pin::{Pin, pin};
use std::sync::Arc;
use std::task::{Context, Poll, Wake, Waker};
use std::thread::Thread;

use rfd::{AsyncFileDialog, FileHandle};

use super::asking::{EXTENSION, Purpose};

/// A dialog that has been asked for and will answer.
pub type Asked = Pin<Box<dyn Future<Output = Option<FileHandle>> + Send>>;

/// Asks for a path; call it on the thread of the window, wait for it on another.
#[must_use]
pub fn ask(purpose: Purpose, start: &Path) -> Asked {
    let dialog = AsyncFileDialog::new();
    let folder = start.ancestors().find(|folder| folder.is_dir());
    let dialog = match folder {
        Some(folder) => dialog.set_directory(folder),
        None => dialog,
    };
    match purpose {
        Purpose::Open => {
            Box::pin(dialog.set_title("Open a project").add_filter("Overarm project", &["json"]).pick_file())
        }
        Purpose::SaveAs => {
            let name = start
                .file_name()
                .map_or_else(|| format!("lift{EXTENSION}"), |name| name.to_string_lossy().into_owned());
            Box::pin(dialog.set_title("Save the project").set_file_name(name).save_file())
        }
        Purpose::Picture => {
            let name =
                start.file_name().map_or_else(|| "lift.png".to_owned(), |name| name.to_string_lossy().into_owned());
            let dialog = dialog.set_title("Write the view as a picture").add_filter("Picture", &["png", "svg"]);
            Box::pin(dialog.set_file_name(name).save_file())
        }
        Purpose::Measured => {
            let dialog = dialog.set_title("Open the filled-in inspection sheet");
            Box::pin(dialog.add_filter("Inspection sheet", &["csv"]).pick_file())
        }
        Purpose::Make => Box::pin(dialog.set_title("Folder for the job").pick_folder()),
    }
}

/// Waits for the answer on this thread.
#[must_use]
pub fn wait_for(asked: Asked) -> Option<PathBuf> {
    let mut asked = pin!(asked);
    let waker = Waker::from(Arc::new(Unpark(std::thread::current())));
    let mut context = Context::from_waker(&waker);
    loop {
        match asked.as_mut().poll(&mut context) {
            Poll::Ready(answer) => return answer.map(|handle| handle.path().to_path_buf()),
            Poll::Pending => std::thread::park(),
        }
    }
}

struct Unpark(Thread);

impl Wake for Unpark {
    fn wake(self: Arc<Self>) {
        self.0.unpark();
    }
}
