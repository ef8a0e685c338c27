// A clip is bytes and nothing else: reading one opens no socket, starts no program and opens no file but
// itself. Two witnesses that are not ours watch: the kernel's system call filter (seccomp) kills a reader
// that asks for a socket or a program, and inotify tells of every file of the folder that was opened.
#ifdef __linux__
#include <arpa/inet.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <poll.h>
#include <sys/inotify.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstddef>
#include <functional>
#include <set>

#include "clip_maker.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace clip_maker;
using tattletone::read_clip;

namespace {

bool forbid_sockets_and_programs() {
    std::vector<sock_filter> filter{BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr))};
    for (const int call : {SYS_socket, SYS_socketpair, SYS_connect, SYS_bind, SYS_sendto, SYS_execve, SYS_execveat}) {
        filter.push_back(BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, static_cast<unsigned>(call), 0, 1));
        filter.push_back(BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS));
    }
    filter.push_back(BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW));
    const sock_fprog program{static_cast<unsigned short>(filter.size()), filter.data()};
    return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 && prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

enum class End { done, reached_out, too_long, no_filter, other };

/// Does it in a process of its own that may not reach out; how that ends.
End alone(const std::function<void()>& work) {
    const pid_t child = fork();
    if (child == 0) {
        signal(SIGALRM, SIG_DFL);
        alarm(60);  // the clips of the trials hung for ever
        if (!forbid_sockets_and_programs()) _exit(77);
        work();
        _exit(0);
    }
    int status = 0;
    if (waitpid(child, &status, 0) != child) return End::other;
    if (WIFSIGNALED(status))
        return WTERMSIG(status) == SIGSYS ? End::reached_out : WTERMSIG(status) == SIGALRM ? End::too_long : End::other;
    return WEXITSTATUS(status) == 0 ? End::done : WEXITSTATUS(status) == 77 ? End::no_filter : End::other;
}

/// Names of the files of a folder that anybody opens while `work` runs.
std::set<std::string> opened_in(const std::string& folder, const std::function<void()>& work) {
    const int watch = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
    REQUIRE(watch >= 0);
    REQUIRE(inotify_add_watch(watch, folder.c_str(), IN_OPEN | IN_ACCESS) >= 0);
    work();
    std::set<std::string> names;
    alignas(inotify_event) char buffer[65536];
    for (ssize_t got; (got = read(watch, buffer, sizeof buffer)) > 0;)
        for (ssize_t at = 0; at < got;) {
            const auto* event = reinterpret_cast<const inotify_event*>(buffer + at);
            if (event->len > 0) names.insert(event->name);
            at += static_cast<ssize_t>(sizeof(inotify_event) + event->len);
        }
    close(watch);
    return names;
}

std::string big(std::uint64_t value, int bytes) {
    std::string text;
    for (int i = bytes - 1; i >= 0; --i) text.push_back(static_cast<char>(value >> (8 * i)));
    return text;
}

/// A box of the QuickTime and ISO base media file format (ISO/IEC 14496-12, 4.2).
std::string box(const std::string& kind, const std::string& content) {
    return big(8 + content.size(), 4) + kind + content;
}

/// Sound whose samples are said to lie in another file: an alias record in 'dref' (QuickTime File Format,
/// "Data Reference Atoms"), with the absolute path (kind 2) and the path as UTF-8 (kind 18).
std::string mov_elsewhere(const std::string& path) {
    std::string alias = std::string(10, '\0') + std::string(1, '\4') + "disk" + std::string(23, '\0');
    alias += std::string(12, '\0');
    alias += std::string(1, '\4') + "name" + std::string(59, '\0');
    alias += std::string(16, '\0') + big(1, 2) + big(1, 2) + std::string(16, '\0');
    for (const int kind : {2, 18})
        alias += big(static_cast<unsigned>(kind), 2) + big(path.size(), 2) + path +
                 (path.size() % 2 == 1 ? std::string(1, '\0') : std::string());
    alias += big(0xFFFF, 2) + big(0, 2);
    const std::string zero4 = big(0, 4);
    const std::string mdhd = box("mdhd", zero4 + zero4 + zero4 + big(8000, 4) + big(8000, 4) + big(0, 4));
    const std::string hdlr = box("hdlr", zero4 + "mhlr" + "soun" + std::string(12, '\0') + std::string(1, '\0'));
    const std::string dref = box("dref", zero4 + big(1, 4) + box("alis", zero4 + alias));
    const std::string sowt = box("sowt", std::string(6, '\0') + big(1, 2) + zero4 + zero4 + big(1, 2) + big(16, 2) +
                                             big(0, 2) + big(0, 2) + big(8000u << 16, 4));
    const std::string stbl =
        box("stbl", box("stsd", zero4 + big(1, 4) + sowt) + box("stts", zero4 + big(1, 4) + big(8000, 4) + big(1, 4)) +
                        box("stsc", zero4 + big(1, 4) + big(1, 4) + big(8000, 4) + big(1, 4)) +
                        box("stsz", zero4 + big(2, 4) + big(8000, 4)) + box("stco", zero4 + big(1, 4) + big(0, 4)));
    const std::string minf = box("minf", box("smhd", zero4 + zero4) + box("dinf", dref) + stbl);
    const std::string mvhd = box("mvhd", zero4 + zero4 + zero4 + big(8000, 4) + big(8000, 4) + std::string(80, '\0'));
    const std::string tkhd =
        box("tkhd", big(1, 4) + zero4 + zero4 + big(1, 4) + zero4 + big(8000, 4) + std::string(60, '\0'));
    return box("ftyp", "qt  " + zero4 + "qt  ") + box("mdat", std::string(16, '\0')) +
           box("moov", mvhd + box("trak", tkhd + box("mdia", mdhd + hdlr + minf)));
}

/// An AVI whose subtitle ('GAB2') is a playlist: once a way to make a reader open what the list names.
std::string avi_with_list(const std::string& list) {
    const auto part = [](const std::string& id, const std::string& content) {
        return id + Bytes().number(content.size(), 4).string() + content + std::string(content.size() % 2, '\0');
    };
    const std::string name = std::string("s\0u\0b\0\0\0", 8);
    const std::string gab2 = std::string("GAB2\0", 5) + Bytes().number(2, 2).number(name.size(), 4).string() + name +
                             Bytes().number(4, 2).number(list.size(), 4).string() + list;
    const auto stream = [&](const std::string& kind, int scale, int rate, const std::string& format) {
        const std::string head = kind + std::string(16, '\0') + Bytes().number(scale, 4).number(rate, 4).string() +
                                 std::string(4, '\0') + Bytes().number(100, 4).string() + std::string(20, '\0');
        return part("LIST", "strl" + part("strh", head) + part("strf", format));
    };
    const std::string pcm =
        Bytes().number(1, 2).number(1, 2).number(8000, 4).number(16000, 4).number(2, 2).number(16, 2).string();
    const std::string main = Bytes().number(20000, 4).string() + std::string(20, '\0') + Bytes().number(2, 4).string() +
                             std::string(28, '\0');
    const std::string header =
        part("LIST", "hdrl" + part("avih", main) + stream("auds" + std::string(4, '\0'), 1, 8000, pcm) +
                         stream("txts" + std::string(4, '\0'), 1, 1, std::string(16, '\0')));
    const std::string movi = part("LIST", "movi" + part("00wb", sine_s16(440.0, 8000.0, 4000, 0.5)) +
                                              part("01tx", gab2) + part("00wb", sine_s16(440.0, 8000.0, 4000, 0.5)));
    return "RIFF" + Bytes().number(4 + header.size() + movi.size(), 4).string() + "AVI " + header + movi;
}

struct Listener {
    Listener() {
        REQUIRE(handle >= 0);
        sockaddr_in place{};
        place.sin_family = AF_INET;
        place.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        REQUIRE(bind(handle, reinterpret_cast<sockaddr*>(&place), sizeof place) == 0);
        REQUIRE(listen(handle, 4) == 0);
        socklen_t size = sizeof place;
        REQUIRE(getsockname(handle, reinterpret_cast<sockaddr*>(&place), &size) == 0);
        port = std::to_string(ntohs(place.sin_port));
    }
    ~Listener() { close(handle); }
    bool called() const {
        pollfd waiting{handle, POLLIN, 0};
        return poll(&waiting, 1, 0) > 0;
    }
    int handle = socket(AF_INET, SOCK_STREAM, 0);
    std::string port;
};

}  // namespace

TEST_CASE("a clip never reaches the network nor another file") {
    const Folder folder;
    // The witnesses see what they are there to see.
    const End reached = alone([] { socket(AF_INET, SOCK_STREAM, 0); });
    if (reached == End::no_filter) {
        WARN("SKIPPED: the kernel filters no system calls here, this check did not run");
        return;
    }
    REQUIRE(reached == End::reached_out);
    save(wav(plain_format(1, 1, 8000, 16) + data_part(sine_s16(1000.0, 8000.0, 8000, 0.5))), folder / "secret.wav");
    const bool encoded =
        have("ffmpeg") && run("ffmpeg -nostdin -v error -y -i " + folder / "secret.wav" + " " + folder / "secret.flac");
    const std::string secret = encoded ? "secret.flac" : "secret.wav";
    REQUIRE(opened_in(folder.path(), [&] { (void)read_clip(folder / secret); }) == std::set<std::string>{secret});

    const Listener listener;
    const std::string here = "http://127.0.0.1:" + listener.port + "/", file = "file://" + folder / secret;
    const std::string m3u = "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXT-X-MEDIA-SEQUENCE:0\n#EXTINF:10,\n";
    const std::string mpd =
        "<?xml version=\"1.0\"?>\n<MPD xmlns=\"urn:mpeg:dash:schema:mpd:2011\" type=\"static\" "
        "mediaPresentationDuration=\"PT3S\" profiles=\"urn:mpeg:dash:profile:isoff-main:2011\"><Period><AdaptationSet "
        "mimeType=\"audio/mp4\"><Representation id=\"a\" bandwidth=\"1\"><BaseURL>";
    const struct {
        const char* name;
        std::string bytes;
        bool sound = false;  // it has sound of its own, which is used
    } clips[] = {
        {"sdp.wav", "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=audio 5004 RTP/AVP 0\n"},
        {"concat.wav", "ffconcat version 1.0\nfile " + secret + "\n"},
        {"absolute.wav", "ffconcat version 1.0\nfile '" + folder / secret + "'\n"},
        {"list.mp3", m3u + here + "a.ts\n#EXT-X-ENDLIST\n"},
        {"list.m3u8", m3u + file + "\n#EXT-X-ENDLIST\n"},
        {"beside.m3u8", m3u + secret + "\n#EXT-X-ENDLIST\n"},
        {"glued.m3u8", m3u + "concat:" + folder / secret + "|" + here + "\n#EXT-X-ENDLIST\n"},
        {"keyed.m3u8", "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXT-X-KEY:METHOD=AES-128,URI=\"" + here +
                           "k\"\n#EXTINF:10,\n" + secret + "\n#EXT-X-ENDLIST\n"},
        {"dash.m4a", mpd + here + "a.m4a</BaseURL></Representation></AdaptationSet></Period></MPD>\n"},
        {"dash.mpd", mpd + file + "</BaseURL></Representation></AdaptationSet></Period></MPD>\n"},
        {"entity.xml", "<?xml version=\"1.0\"?><!DOCTYPE MPD [<!ENTITY a SYSTEM \"" + file + "\">]><MPD>&a;</MPD>\n"},
        {"dref.m4a", mov_elsewhere(folder / secret)},
        {"near.mov", mov_elsewhere(secret)},
        {"subtitle.avi", avi_with_list(m3u + here + "a.ts\n#EXT-X-ENDLIST\n"), true},
        {"subtitle file.avi", avi_with_list("ffconcat version 1.0\nfile '" + folder / secret + "'\n"), true},
        {"pattern%d.wav", "P5\n64 64\n255\n" + std::string(4096, '\x55')},
    };
    // Files that a reader could take for part of a clip, by their names.
    for (const char* name : {"._sdp.wav", "sdp.rsrc", "pattern0.wav", "pattern1.wav", "key.bin"})
        save("secret", folder / name);
    for (const auto& clip : clips) {
        INFO(clip.name);
        save(clip.bytes, folder / clip.name);
        End end = End::other;
        const auto opened = opened_in(folder.path(), [&] {
            end = alone([&] {  // from the folder itself: lists name what stands beside them
                if (chdir(folder.path().c_str()) != 0) _exit(1);
                (void)read_clip(clip.name);
            });
        });
        CHECK(opened == std::set<std::string>{clip.name});
        CHECK_FALSE(listener.called());
        CHECK(end == End::done);
        if (end != End::done) continue;
        const auto read = read_clip(folder / clip.name);
        INFO((read ? std::string("read") : to_sentence(read.error())));
        CHECK(static_cast<bool>(read) == clip.sound);
    }
}
#endif
