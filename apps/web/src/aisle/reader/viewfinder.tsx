import { useEffect, useRef, useState } from 'react';
import { Button } from '../../kit/button.tsx';
import { SelectField } from '../../kit/choice-fields.tsx';
import { Notice } from '../../kit/surface.tsx';
import { cameraIsAllowed, cameras, leaveCamera, switchCamera, takeCamera } from './camera.ts';
import { warmUp } from './decoder.ts';
import { readFrames } from './frame-loop.ts';
import { controlsOf, keepFocusing, setTorch, setZoom } from './track-controls.ts';
import './viewfinder.css';

/** The camera's picture with its controls; `onText` gets every code once as it comes into view. */
export function Viewfinder({ onText }: { onText: (text: string) => void }) {
  const video = useRef<HTMLVideoElement>(null);
  const latest = useRef(onText);
  useEffect(() => {
    latest.current = onText;
  });
  const [on, setOn] = useState(false);
  const [stream, setStream] = useState<MediaStream | null>(null);
  const [fault, setFault] = useState<string | null>(null);
  const [seen, setSeen] = useState(0);

  useEffect(() => {
    void cameraIsAllowed().then((allowed) => {
      if (allowed) setOn(true);
    });
  }, []);

  useEffect(() => {
    if (!on) return;
    let gone = false;
    warmUp();
    takeCamera().then(
      (taken) => {
        if (gone) leaveCamera();
        else setStream(taken);
      },
      (error: unknown) => {
        setFault(error instanceof Error ? error.message : String(error));
        setOn(false);
      },
    );
    return () => {
      gone = true;
      setStream((held) => {
        if (held) leaveCamera();
        return null;
      });
    };
  }, [on]);

  useEffect(() => {
    const element = video.current;
    if (!stream || !element) return;
    element.srcObject = stream;
    void element.play().catch(() => undefined);
    keepFocusing(stream);
    return readFrames(
      element,
      ({ text }) => {
        setSeen((count) => count + 1);
        latest.current(text);
      },
      setFault,
    );
  }, [stream]);

  return (
    <div className="stack-tight">
      <div className="viewfinder">
        {stream && <video ref={video} muted playsInline aria-label="Camera picture" />}
        {stream && (
          <>
            <div className="viewfinder-aim" />
            <p className="viewfinder-hint">Hold the code inside the corners</p>
          </>
        )}
        {seen > 0 && stream && <div className="viewfinder-flash" key={seen} />}
        {!stream && (
          <div className="viewfinder-off">
            <Button
              kind="main"
              icon="camera"
              busy={on}
              onClick={() => {
                setFault(null);
                setOn(true);
              }}
            >
              {on ? 'Opening the camera …' : 'Start the camera'}
            </Button>
          </div>
        )}
      </div>
      {fault !== null && (
        <Notice tone="bad" live title="No picture">
          {fault}
        </Notice>
      )}
      {stream && (
        <Tools
          stream={stream}
          onSwitch={setStream}
          onStop={() => {
            setOn(false);
          }}
        />
      )}
    </div>
  );
}

function Tools({
  stream,
  onSwitch,
  onStop,
}: {
  stream: MediaStream;
  onSwitch: (stream: MediaStream) => void;
  onStop: () => void;
}) {
  const [torch, setTorchOn] = useState(false);
  const [zoom, setZoomTo] = useState<number | null>(null);
  const [all, setAll] = useState<readonly { id: string; label: string }[]>([]);
  const controls = controlsOf(stream);
  useEffect(() => {
    void cameras().then(setAll);
  }, [stream]);
  const current = stream.getVideoTracks()[0]?.getSettings().deviceId ?? '';
  return (
    <div className="viewfinder-tools">
      {controls.torch && (
        <Button
          icon="torch"
          aria-pressed={torch}
          onClick={() => {
            setTorchOn(!torch);
            void setTorch(stream, !torch);
          }}
        >
          {torch ? 'Torch off' : 'Torch on'}
        </Button>
      )}
      {controls.zoom && (
        <label className="zoom">
          Zoom
          <input
            type="range"
            min={controls.zoom.min}
            max={controls.zoom.max}
            step={controls.zoom.step}
            value={zoom ?? controls.zoom.min}
            onChange={(event) => {
              const to = Number(event.target.value);
              setZoomTo(to);
              void setZoom(stream, to);
            }}
          />
        </label>
      )}
      {all.length > 1 && (
        <SelectField
          label="Camera"
          hideLabel
          value={current}
          onChange={(id) => {
            void switchCamera(id).then(onSwitch);
          }}
          choices={all.map(({ id, label }) => ({ value: id, label }))}
        />
      )}
      <Button kind="quiet" onClick={onStop}>
        Stop the camera
      </Button>
    </div>
  );
}
