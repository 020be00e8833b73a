#include "base/file.h"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/diagnostic.h"

namespace tallyboard {
namespace {

namespace fs = std::filesystem;

std::string reason(int error) {
    switch (error) {
        case ENOENT: return "no such file";
        case EACCES: case EPERM: return "permission denied";
        case EISDIR: return "is a folder, not a file";
        case ENOTDIR: return "part of the path is not a folder";
        case ENOSPC: return "no space left on the disk";
        case EROFS: return "the disk is read-only";
        default: return std::strerror(error);
    }
}

// Closes the descriptor on every way out.
struct Descriptor {
    int fd = -1;
    ~Descriptor() { if (fd >= 0) ::close(fd); }
    int release() { int out = fd; fd = -1; return out; }
};

std::string read_all(int fd, const std::string& name, std::size_t limit) {
    std::string bytes;
    char buffer[1 << 16];
    while (true) {
        ssize_t got = ::read(fd, buffer, sizeof buffer);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) throw CommandError(name, "cannot be read: " + reason(errno));
        if (got == 0) return bytes;
        if (bytes.size() + static_cast<std::size_t>(got) > limit)
            throw CommandError(name, "is larger than " + std::to_string(limit >> 20) +
                                         " MiB, which no circuit file is; is it the right file?");
        bytes.append(buffer, static_cast<std::size_t>(got));
    }
}

// The file that would really be replaced: links followed, the last part may be missing.
fs::path target_of(const std::string& path) {
    std::error_code error;
    fs::path resolved = fs::weakly_canonical(path, error);
    return error ? fs::path(path) : resolved;
}

fs::path folder_of(const fs::path& target) {
    fs::path folder = target.parent_path();
    return folder.empty() ? fs::path(".") : folder;
}

}  // namespace

SourceText read_file(const std::string& path, std::size_t limit) {
    if (path == "-") return {"standard input", read_all(0, "standard input", limit)};
    Descriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)};
    if (file.fd < 0) throw CommandError(path, "cannot be read: " + reason(errno));
    struct stat status{};
    if (::fstat(file.fd, &status) != 0) throw CommandError(path, "cannot be read: " + reason(errno));
    if (S_ISDIR(status.st_mode)) throw CommandError(path, "is a folder; name a file in it");
    if (!S_ISREG(status.st_mode)) throw CommandError(path, "is a device or pipe, not a file; use - to read standard input");
    return {path, read_all(file.fd, path, limit)};
}

void require_writable(const std::string& path) {
    if (path.empty()) throw CommandError("", "the output path is empty; name a file");
    fs::path target = target_of(path);
    struct stat status{};
    if (::stat(target.c_str(), &status) == 0) {
        if (S_ISDIR(status.st_mode)) throw CommandError(path, "cannot be written: is a folder; name a file in it");
        if (!S_ISREG(status.st_mode)) throw CommandError(path, "cannot be written: is a device or pipe; name a file");
        if (::access(target.c_str(), W_OK) != 0) throw CommandError(path, "cannot be written: " + reason(errno));
    }
    fs::path folder = folder_of(target);
    if (::stat(folder.c_str(), &status) != 0)
        throw CommandError(path, "cannot be written: " +
                                     (errno == ENOENT ? std::string("there is no folder ") + folder.string()
                                                      : reason(errno)));
    if (!S_ISDIR(status.st_mode)) throw CommandError(path, "cannot be written: " + folder.string() + " is not a folder");
    if (::access(folder.c_str(), W_OK | X_OK) != 0)
        throw CommandError(path, "cannot be written: the folder " + folder.string() + " is not writable");
}

void write_file(const std::string& path, std::string_view bytes) {
    require_writable(path);
    fs::path target = target_of(path);
    struct stat status{};
    mode_t mode = 0666;
    bool existed = ::stat(target.c_str(), &status) == 0;
    if (existed) mode = status.st_mode & 07777;
    std::string temporary = (folder_of(target) / ("." + target.filename().string() + ".new-XXXXXX")).string();
    Descriptor file{::mkostemp(temporary.data(), O_CLOEXEC)};
    if (file.fd < 0) throw CommandError(path, "cannot be written: " + reason(errno));
    auto give_up = [&](int error) {
        ::unlink(temporary.c_str());
        throw CommandError(path, "cannot be written: " + reason(error));
    };
    if (!existed) {
        mode_t mask = ::umask(0);
        ::umask(mask);
        mode &= ~mask;
    }
    if (::fchmod(file.fd, mode) != 0) give_up(errno);
    for (std::size_t done = 0; done < bytes.size();) {
        ssize_t wrote = ::write(file.fd, bytes.data() + done, bytes.size() - done);
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote < 0) give_up(errno);
        done += static_cast<std::size_t>(wrote);
    }
    if (::fsync(file.fd) != 0 && errno != EINVAL) give_up(errno);
    if (::close(file.release()) != 0) give_up(errno);
    if (::rename(temporary.c_str(), target.c_str()) != 0) give_up(errno);
}

std::string path_beside(const std::string& base, const std::string& path) {
    fs::path p(path);
    if (p.is_absolute()) return path;
    return (fs::path(base).parent_path() / p).lexically_normal().string();
}

}  // namespace tallyboard
